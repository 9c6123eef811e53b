"""Which runs come out of which coil or reel."""
