//! The notes and their index as one run of bytes, and the read-only directory over it.
//!
//! Layout: the length of the head in eight bytes (little end first), the head (postcard), then the files of the
//! index one after another.

use super::lookup::Lookup;
use super::{Note, index::failed};
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};
use std::path::Path;
use std::sync::Arc;
use tantivy::Directory;
use tantivy::directory::error::{DeleteError, LockError, OpenReadError, OpenWriteError};
use tantivy::directory::{DirectoryLock, FileHandle, Lock, WatchCallback, WatchHandle, WritePtr};

/// What stands before the files.
#[derive(Debug, Serialize, Deserialize)]
struct Head {
    notes: Vec<Note>,
    lookup: Lookup,
    /// Name and length of each file, in order.
    files: Vec<(String, usize)>,
}

/// Packs notes and index files.
pub(super) fn pack(
    notes: &[Note],
    lookup: &Lookup,
    files: Vec<(String, Vec<u8>)>,
) -> Result<Vec<u8>, Problem> {
    let head = Head {
        notes: notes.to_vec(),
        lookup: lookup.clone(),
        files: files.iter().map(|(name, bytes)| (name.clone(), bytes.len())).collect(),
    };
    let head = postcard::to_stdvec(&head).map_err(failed)?;
    let length = u64::try_from(head.len()).map_err(failed)?;
    let mut packed = length.to_le_bytes().to_vec();
    packed.extend(head);
    for (_, bytes) in files {
        packed.extend(bytes);
    }
    Ok(packed)
}

/// Opens a pack: the notes, the words for the search, and the index in place.
pub(super) fn unpack(packed: &'static [u8]) -> Result<(Vec<Note>, Lookup, Packed), Problem> {
    let broken = || {
        Problem::error(Code::File, None, "the notes inside the program cannot be read")
            .help("build the program again")
    };
    let (length, rest) = packed.split_first_chunk::<8>().ok_or_else(broken)?;
    let length = usize::try_from(u64::from_le_bytes(*length)).map_err(failed)?;
    let (head, mut rest) = rest.split_at_checked(length).ok_or_else(broken)?;
    let head: Head = postcard::from_bytes(head).map_err(failed)?;
    let mut files = Vec::new();
    for (name, length) in head.files {
        let (file, after) = rest.split_at_checked(length).ok_or_else(broken)?;
        files.push((name, file));
        rest = after;
    }
    Ok((head.notes, head.lookup, Packed { files: files.into() }))
}

/// A directory of files that lie in the program; nothing can be written to it.
#[derive(Debug, Clone)]
pub(super) struct Packed {
    files: Arc<[(String, &'static [u8])]>,
}

impl Packed {
    /// The bytes of a file.
    pub(super) fn file(&self, path: &Path) -> Option<&'static [u8]> {
        let name = path.to_str()?;
        self.files.iter().find(|(known, _)| known == name).map(|(_, bytes)| *bytes)
    }
}

/// The answer to whoever wants to write.
fn read_only() -> std::io::Error {
    std::io::Error::new(std::io::ErrorKind::ReadOnlyFilesystem, "the packed notes are read-only")
}

impl Directory for Packed {
    fn get_file_handle(&self, path: &Path) -> Result<Arc<dyn FileHandle>, OpenReadError> {
        match self.file(path) {
            Some(bytes) => Ok(Arc::new(bytes)),
            None => Err(OpenReadError::FileDoesNotExist(path.to_owned())),
        }
    }

    fn delete(&self, path: &Path) -> Result<(), DeleteError> {
        Err(DeleteError::IoError { io_error: Arc::new(read_only()), filepath: path.to_owned() })
    }

    fn exists(&self, path: &Path) -> Result<bool, OpenReadError> {
        Ok(self.file(path).is_some())
    }

    fn open_write(&self, path: &Path) -> Result<WritePtr, OpenWriteError> {
        Err(OpenWriteError::wrap_io_error(read_only(), path.to_owned()))
    }

    fn atomic_read(&self, path: &Path) -> Result<Vec<u8>, OpenReadError> {
        let bytes = self.file(path);
        bytes.map(<[u8]>::to_vec).ok_or_else(|| OpenReadError::FileDoesNotExist(path.to_owned()))
    }

    fn atomic_write(&self, _path: &Path, _data: &[u8]) -> std::io::Result<()> {
        Err(read_only())
    }

    fn sync_directory(&self) -> std::io::Result<()> {
        Ok(())
    }

    fn acquire_lock(&self, _lock: &Lock) -> Result<DirectoryLock, LockError> {
        // Nobody writes, so nothing has to be kept apart.
        Ok(DirectoryLock::from(Box::new(())))
    }

    fn watch(&self, _callback: WatchCallback) -> tantivy::Result<WatchHandle> {
        Ok(WatchHandle::empty())
    }
}
