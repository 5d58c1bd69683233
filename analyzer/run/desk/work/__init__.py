"""Work that takes long, in processes of its own: reading a recording and assessing it."""
