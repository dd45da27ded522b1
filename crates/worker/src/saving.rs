//! The door through which finished bytes leave: part files of the private file system, or a Blob.
//!
//! Part files cost no memory: a film of half a gigabyte passes through in pieces. Their names carry the time they were
//! begun and the number of their job, so that old ones and those of an ended job can be swept without opening them.

use crate::answer;
use crate::reading::{error, reason};
use js_sys::{Array, Date, Function, Promise, Reflect, Uint8Array};
use sorrel_imaging::Fault;
use sorrel_imaging::fault::size_text;
use sorrel_imaging::job::{PARTS_FOLDER, Part};
use std::io::{Error, Write};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, BlobPropertyBag, FileSystemDirectoryHandle, FileSystemFileHandle, FileSystemGetDirectoryOptions,
    FileSystemGetFileOptions, FileSystemReadWriteOptions, FileSystemSyncAccessHandle, StorageEstimate,
    StorageManager,
};

/// Bytes of a part file, at most.
const PART: u64 = 64 << 20;
/// Bytes of a piece of the Blob that is built where there are no part files.
const PIECE: usize = 16 << 20;
/// Largest file that is built as a Blob: beyond it browsers give up without a word.
const MAX_BLOB: u64 = 256_000_000;
/// Room that has to be free, in sizes of the file: its parts, the download's copy, and some air.
const ROOM: f64 = 2.2;
/// Parts older than this are left-overs, milliseconds: one day.
const OLD_MS: f64 = 86_400_000.0;

/// Times a sweep is tried.
const SWEEPS: u32 = 15;
/// Milliseconds between them.
const SWEEP_PAUSE: i32 = 200;

/// Where bytes are going.
pub(crate) enum Store {
    /// Part files, opened before the work starts because opening is asynchronous and the work is not.
    Parts(PartFiles),
    /// Pieces of a Blob.
    Memory {
        /// Finished pieces.
        pieces: Vec<Blob>,
        /// The piece that is being filled.
        piece: Vec<u8>,
        /// Bytes written in all.
        written: u64,
    },
}

/// Open part files; what is not taken out of it when it goes away was not finished and is removed.
pub(crate) struct PartFiles {
    /// For the messages to the page.
    id: u32,
    /// Handles and names in order.
    files: Vec<(FileSystemSyncAccessHandle, String)>,
    /// The folder they lie in.
    folder: FileSystemDirectoryHandle,
    /// Bytes written in all.
    written: u64,
}

impl Drop for PartFiles {
    fn drop(&mut self) {
        for (handle, name) in self.files.drain(..) {
            handle.close();
            let promise = self.folder.remove_entry(&name);
            wasm_bindgen_futures::spawn_local(async move {
                // What stays is swept another day.
                let _ = wait(promise).await;
            });
        }
    }
}

/// What was stored.
pub(crate) struct Stored {
    /// Part files in order; empty when there is a Blob.
    pub(crate) parts: Vec<Part>,
    /// The finished file where there are no part files.
    pub(crate) blob: Option<Blob>,
    /// Its size.
    pub(crate) bytes: u64,
}

impl Store {
    /// Prepares room for a file of at most `bytes`: sweeps what is old, asks whether it will fit, opens the parts.
    ///
    /// # Errors
    /// [`Fault::Limit`] when there is too little room.
    pub(crate) async fn open(id: u32, bytes: u64) -> Result<Self, Fault> {
        if let Some(storage) = storage()
            && let Some(folder) = folder(&storage).await
        {
            sweep_folder(&folder, old).await;
            enough_room(&storage, bytes).await?;
            if let Some(files) = open_parts(&folder, id, bytes).await {
                return Ok(Self::Parts(PartFiles { id, files, folder, written: 0 }));
            }
        }
        if bytes > MAX_BLOB {
            return Err(Fault::limit(
                format!(
                    "The file takes {}; this browser has no private file system for pages, and without it at most {} \
                     can be saved.",
                    size_text(bytes),
                    size_text(MAX_BLOB)
                ),
                "Choose PNG or fewer pixels per inch, or use a current Chromium, Firefox or Safari, not in a private \
                 window.",
            ));
        }
        Ok(Self::Memory { pieces: Vec::new(), piece: Vec::new(), written: 0 })
    }

    /// Closes everything; nothing may be written afterwards.
    ///
    /// # Errors
    /// [`Fault::Device`] when the last bytes cannot be stored.
    pub(crate) async fn close(self, media_type: &str) -> Result<Stored, Fault> {
        let failed = |e: &JsValue| {
            Fault::device(
                format!("The file could not be stored ({}).", reason(e)),
                "Free some space on this device and try again.",
            )
        };
        match self {
            Self::Parts(mut open) => {
                let mut parts = Vec::new();
                let mut left = open.written;
                for (handle, name) in std::mem::take(&mut open.files) {
                    let bytes = left.min(PART);
                    left -= bytes;
                    let flushed = handle.flush();
                    handle.close();
                    if bytes == 0 {
                        // More was expected than came; the sweep would find it too.
                        let _ = wait(open.folder.remove_entry(&name)).await;
                        continue;
                    }
                    flushed.map_err(|e| failed(&e))?;
                    #[expect(clippy::cast_precision_loss, reason = "file sizes are below 2⁵³")]
                    let bytes = bytes as f64;
                    answer::part(open.id, &name, bytes);
                    parts.push(Part { name, bytes });
                }
                Ok(Stored { parts, blob: None, bytes: open.written })
            }
            Self::Memory { mut pieces, piece, written } => {
                if !piece.is_empty() {
                    pieces.push(blob_of(&piece).map_err(|e| failed(&e))?);
                }
                let bag = BlobPropertyBag::new();
                bag.set_type(media_type);
                let list: Array = pieces.into_iter().collect();
                let blob = Blob::new_with_blob_sequence_and_options(&list, &bag).map_err(|e| failed(&e))?;
                Ok(Stored { parts: Vec::new(), blob: Some(blob), bytes: written })
            }
        }
    }
}

impl Write for Store {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        match self {
            Self::Parts(PartFiles { files, written, .. }) => {
                let index = usize::try_from(*written / PART).unwrap_or(usize::MAX);
                let within = *written % PART;
                let (handle, _) =
                    files.get(index).ok_or_else(|| Error::other("it became larger than planned"))?;
                let room = usize::try_from(PART - within).unwrap_or(usize::MAX);
                let now = &bytes[..bytes.len().min(room)];
                let options = FileSystemReadWriteOptions::new();
                #[expect(clippy::cast_precision_loss, reason = "at most 64 MB")]
                options.set_at(within as f64);
                let n = handle.write_with_u8_array_and_options(now, &options).map_err(|e| error(&e))?;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "at most now.len()"
                )]
                let n = (n as usize).min(now.len());
                if n < now.len() {
                    return Err(Error::other("the device took only a part of it"));
                }
                *written += n as u64;
                Ok(n)
            }
            Self::Memory { pieces, piece, written } => {
                if *written + bytes.len() as u64 > MAX_BLOB {
                    return Err(Error::other("it became too large for this browser"));
                }
                piece.extend_from_slice(bytes);
                *written += bytes.len() as u64;
                if piece.len() >= PIECE {
                    pieces.push(blob_of(piece).map_err(|e| error(&e))?);
                    piece.clear();
                }
                Ok(bytes.len())
            }
        }
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn blob_of(bytes: &[u8]) -> Result<Blob, JsValue> {
    Blob::new_with_u8_array_sequence(&Array::of1(&Uint8Array::from(bytes)))
}

/// The browser's storage, where it has one.
fn storage() -> Option<StorageManager> {
    let navigator = Reflect::get(&answer::scope(), &"navigator".into()).ok()?;
    let storage = Reflect::get(&navigator, &"storage".into()).ok()?;
    has(&storage, "getDirectory").then(|| storage.unchecked_into())
}

fn has(object: &JsValue, method: &str) -> bool {
    object.is_object() && Reflect::get(object, &method.into()).is_ok_and(|f| f.is_instance_of::<Function>())
}

async fn wait(promise: Promise) -> Result<JsValue, JsValue> {
    JsFuture::from(promise).await
}

async fn folder(storage: &StorageManager) -> Option<FileSystemDirectoryHandle> {
    let root: FileSystemDirectoryHandle = wait(storage.get_directory()).await.ok()?.unchecked_into();
    let options = FileSystemGetDirectoryOptions::new();
    options.set_create(true);
    let folder = wait(root.get_directory_handle_with_options(PARTS_FOLDER, &options)).await.ok()?;
    Some(folder.unchecked_into())
}

async fn enough_room(storage: &StorageManager, bytes: u64) -> Result<(), Fault> {
    if !has(storage, "estimate") {
        return Ok(());
    }
    let Ok(promise) = storage.estimate() else { return Ok(()) };
    let Ok(estimate) = wait(promise).await else { return Ok(()) };
    let estimate: StorageEstimate = estimate.unchecked_into();
    let (Some(quota), Some(usage)) = (estimate.get_quota(), estimate.get_usage()) else { return Ok(()) };
    let free = (quota - usage).max(0.0);
    #[expect(clippy::cast_precision_loss, reason = "file sizes are below 2⁵³")]
    let needed = ROOM * bytes as f64;
    if free >= needed {
        return Ok(());
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sizes, for a text")]
    let text = |b: f64| size_text(b as u64);
    Err(Fault::limit(
        format!(
            "The file takes up to {}; while it is saved {} must be free, and the browser offers {}.",
            size_text(bytes),
            text(needed),
            text(free)
        ),
        "Free some space on this device, or choose PNG or fewer pixels per inch.",
    ))
}

/// Opens as many parts as `bytes` may need; `None` when the browser cannot write them from here.
async fn open_parts(
    folder: &FileSystemDirectoryHandle,
    id: u32,
    bytes: u64,
) -> Option<Vec<(FileSystemSyncAccessHandle, String)>> {
    let options = FileSystemGetFileOptions::new();
    options.set_create(true);
    let begun = Date::now();
    let mut files: Vec<(FileSystemSyncAccessHandle, String)> = Vec::new();
    for n in 0..bytes.div_ceil(PART).max(1) {
        let name = part_name(begun, id, n);
        let handle = async {
            let file: FileSystemFileHandle =
                wait(folder.get_file_handle_with_options(&name, &options)).await.ok()?.unchecked_into();
            if !has(&file, "createSyncAccessHandle") {
                return None;
            }
            wait(file.create_sync_access_handle()).await.ok()
        };
        match handle.await {
            Some(handle) => files.push((handle.unchecked_into(), name)),
            None => {
                for (handle, name) in files {
                    handle.close();
                    let _ = wait(folder.remove_entry(&name)).await;
                }
                let _ = wait(folder.remove_entry(&name)).await;
                return None;
            }
        }
    }
    Some(files)
}

/// Name of a part: when its file was begun, the job, its number.
fn part_name(begun: f64, id: u32, n: u64) -> String {
    format!("{begun:.0}-{id}-{n}")
}

/// When a part was begun, from its name.
fn begun(name: &str) -> Option<f64> {
    // A whole number: reading fractions would bring ten kilobytes of tables into the module.
    let milliseconds: u64 = name.split('-').next()?.parse().ok()?;
    #[expect(clippy::cast_precision_loss, reason = "a time, below 2⁵³")]
    let milliseconds = milliseconds as f64;
    Some(milliseconds)
}

/// The job a part belongs to, from its name.
fn job(name: &str) -> Option<u32> {
    name.split('-').nth(1)?.parse().ok()
}

/// Whether a part is a left-over by its age. A name that is not ours is nothing to keep either.
fn old(name: &str) -> bool {
    begun(name).is_none_or(|t| Date::now() - t >= OLD_MS)
}

/// Removes the parts of ended jobs; how many. A worker that was ended a moment ago may still hold its parts, so what cannot
/// be removed is tried again for a while.
pub(crate) async fn sweep(jobs: &[u32]) -> u32 {
    let Some(storage) = storage() else { return 0 };
    let Some(folder) = folder(&storage).await else { return 0 };
    let mut removed = 0;
    for _ in 0..SWEEPS {
        let (gone, held) = sweep_folder(&folder, |name| job(name).is_some_and(|n| jobs.contains(&n))).await;
        removed += gone;
        if held == 0 {
            break;
        }
        pause(SWEEP_PAUSE).await;
    }
    removed
}

async fn pause(ms: i32) {
    let promise = Promise::new(&mut |resolve, _| {
        let _ = answer::scope().set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, ms);
    });
    let _ = JsFuture::from(promise).await;
}

/// Removes the parts whose names `goes` picks: how many were removed, and how many are held by somebody.
async fn sweep_folder(folder: &FileSystemDirectoryHandle, goes: impl Fn(&str) -> bool) -> (u32, u32) {
    let mut picked = Vec::new();
    let names = folder.keys();
    while let Ok(promise) = names.next() {
        let Ok(next) = wait(promise).await else { break };
        if Reflect::get(&next, &"done".into()).map_or(true, |d| d.is_truthy()) {
            break;
        }
        let Some(name) = Reflect::get(&next, &"value".into()).ok().and_then(|n| n.as_string()) else { break };
        if goes(&name) {
            picked.push(name);
        }
    }
    let (mut removed, mut held) = (0, 0);
    for name in picked {
        match wait(folder.remove_entry(&name)).await {
            Ok(_) => removed += 1,
            Err(_) => held += 1,
        }
    }
    (removed, held)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_carry_their_time_and_their_job() {
        let name = part_name(1_795_600_000_123.0, 7, 2);
        assert_eq!(name, "1795600000123-7-2");
        assert_eq!(begun(&name), Some(1_795_600_000_123.0));
        assert_eq!(job(&name), Some(7));
        assert_eq!(job(&part_name(0.0, u32::MAX, 12)), Some(u32::MAX));
        assert_eq!((begun("something else"), job("something else")), (None, None));
    }
}
