"""Printed codes: the short address code, GS1 keys and the QR symbol. Pure: no Django."""
