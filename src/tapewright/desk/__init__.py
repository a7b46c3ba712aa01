"""Desk: what notebooks and other programs are handed: arguments checked, frames, pictures."""
