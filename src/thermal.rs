//! Heat transfer: pipes, pool and ice; plain numbers in, plain numbers out; no files.
