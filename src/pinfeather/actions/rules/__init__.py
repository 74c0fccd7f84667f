"""Rules as the farm uses them: which are in force, which exemption fits, what changed."""
