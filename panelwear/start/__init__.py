"""The start screen: panels known, what to do next with each, and everything from there with keys or mouse.

What is said and what a hand does is worked out of plain values (``state`` and its pages); files, children and the
screen are reached by ``loop`` and what it calls alone.
"""
