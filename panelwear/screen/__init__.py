"""The program's own full-screen surface: window, flash governor, cards, prompts and questions, proof of the pixels.

The only folder that imports pygame. What is shown, and why, is decided elsewhere.
"""
