"""A packing run, from its order to every copy counted.

What may be printed at all is settled when the file is made (``documents.printable``); here stand the rules of a run's
own life.
"""
