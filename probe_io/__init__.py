"""Light in: what a reading is and how to get one, by instrument files over a serial line, a socket or a keyboard.

Needs pyserial and the standard library only, and knows neither patterns nor the application.
"""
