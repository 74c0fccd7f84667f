"""One function per thing a person does: load, compute, save."""
