"""Lists a farm keeps already, read, looked over, brought in, and taken back in one tap."""
