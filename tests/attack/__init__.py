"""Attacks: interrupts at random moments, full disks, made-up input. A few in the suite, many by commands."""
