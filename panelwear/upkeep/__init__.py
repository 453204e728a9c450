"""Making a panel folder, and checking any file of ours: what has to know every kind of file there is.

Reading and writing of one kind of file belongs where its records do (``folder``, ``readings``, ``byeye``).
"""
