"""One plan against another: saving, break-evens, ranges, risk."""
