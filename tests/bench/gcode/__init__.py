"""How fast machine programs are read, and in how much memory."""
