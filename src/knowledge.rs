//! Everything a senior technician may edit, loaded and checked.
