"""The rules tested, what each plan wires a circuit in, and the ground path."""
