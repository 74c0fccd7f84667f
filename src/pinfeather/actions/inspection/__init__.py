"""An inspector's visit: what is asked for on one page, and a code that opens it for a while."""
