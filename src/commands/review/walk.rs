//! Folders → the photos in them, in the order of their names.

use std::collections::{HashMap, HashSet};
use std::fs::{self, File, Metadata};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use walkdir::{DirEntry, WalkDir};

use crate::commands::kept::LOCK;
use crate::review::PhotoRecord;

/// A file that is a photo by its name's ending, or by its content where the name has none.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) path: PathBuf,
    /// Below the reviewed folder, with `/`; below the folder as it was given, where there are several.
    pub(super) file: String,
    /// Names of the folders it lies in, the reviewed one first.
    pub(super) folders: Vec<String>,
    /// Its place on this machine, links followed.
    pub(super) key: String,
    pub(super) size: u64,
    pub(super) changed_ns: u128,
}

/// Something that could not be looked into.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    pub(super) file: String,
    pub(super) error: String,
}

/// What a walk found.
#[derive(Debug, Default)]
pub(super) struct Walked {
    /// By `file`.
    pub(super) files: Vec<Found>,
    pub(super) faults: Vec<Fault>,
}

/// Size and time of change of each file.
pub(super) type Seen = HashMap<String, (u64, u128)>;

/// By the name in the result.
pub(super) type Places<'a> = HashMap<&'a str, &'a PathBuf>;

/// Of the photo and of its copies.
pub(super) fn places_of(photo: &PhotoRecord, places: &Places<'_>) -> Vec<PathBuf> {
    let names = photo.line.names();
    names
        .filter_map(|name| places.get(name).map(|p| (*p).clone()))
        .collect()
}

impl Walked {
    pub(super) fn places(&self) -> Places<'_> {
        self.files
            .iter()
            .map(|f| (f.file.as_str(), &f.path))
            .collect()
    }

    pub(super) fn seen(&self) -> Seen {
        let of = |f: &Found| (f.key.clone(), (f.size, f.changed_ns));
        self.files.iter().map(of).collect()
    }
}

/// Walks the folders and all folders in them, each once however many links lead to it. Names that begin
/// with a dot, and folders of results, are passed over.
pub(super) fn walk(folders: &[PathBuf], result: &Path) -> Walked {
    let mut walk = Walk {
        // As if it had been walked: the result's own pictures are not reviewed.
        folders_seen: fs::canonicalize(result).into_iter().collect(),
        links: Vec::new(),
        walked: Walked::default(),
    };
    for folder in folders {
        let prefix = (folders.len() > 1).then(|| slashed(folder).trim_end_matches('/').to_owned());
        walk.folder(folder, prefix.as_deref());
    }
    walk.finish()
}

struct Walk {
    /// Links followed.
    folders_seen: HashSet<PathBuf>,
    /// Files behind links: left out where the file itself is found too.
    links: Vec<Found>,
    walked: Walked,
}

impl Walk {
    fn folder(&mut self, root: &Path, prefix: Option<&str>) {
        let own_name = fs::canonicalize(root).ok();
        let own_name = own_name.as_deref().and_then(Path::file_name);
        let own_name = own_name.map(|n| n.to_string_lossy().into_owned());
        let place = Place {
            root,
            prefix,
            own_name: own_name.unwrap_or_default(),
        };
        // The canonical path of each folder on the way down.
        // One look-up for each folder, not one for each file.
        let mut inside: HashMap<PathBuf, PathBuf> = HashMap::new();
        let mut entries = WalkDir::new(root)
            .follow_links(true)
            .sort_by_file_name()
            .into_iter();
        while let Some(entry) = entries.next() {
            match entry {
                Ok(entry) if entry.file_type().is_dir() => match self.enter(&entry) {
                    Some(canonical) => drop(inside.insert(entry.into_path(), canonical)),
                    None => entries.skip_current_dir(),
                },
                Ok(entry) => self.file(&entry, &place, &inside),
                Err(error) => self.fault(&error, &place),
            }
        }
    }

    /// Its canonical path, where it is to be walked.
    fn enter(&mut self, folder: &DirEntry) -> Option<PathBuf> {
        let hidden = folder.depth() > 0 && is_hidden(folder.path());
        if hidden || folder.path().join(LOCK).exists() {
            return None;
        }
        // Some drives and shares of Windows have no canonical path.
        let canonical =
            fs::canonicalize(folder.path()).unwrap_or_else(|_| folder.path().to_path_buf());
        self.folders_seen
            .insert(canonical.clone())
            .then_some(canonical)
    }

    fn file(&mut self, entry: &DirEntry, place: &Place<'_>, inside: &HashMap<PathBuf, PathBuf>) {
        let path = entry.path();
        if !entry.file_type().is_file() || is_hidden(path) || !is_photo(path) {
            return;
        }
        let metadata = match entry.metadata() {
            Ok(metadata) => metadata,
            Err(error) => return self.fault(&error, place),
        };
        let is_link = entry.path_is_symlink();
        let canonical = if is_link {
            fs::canonicalize(path).ok()
        } else {
            let folder = path.parent().and_then(|p| inside.get(p));
            folder.map(|f| f.join(entry.file_name()))
        };
        let found = place.found(path, canonical.as_deref().unwrap_or(path), &metadata);
        if is_link {
            self.links.push(found);
        } else {
            self.walked.files.push(found);
        }
    }

    fn fault(&mut self, error: &walkdir::Error, place: &Place<'_>) {
        let path = error.path().unwrap_or(place.root);
        let is_loop = error.loop_ancestor().is_some();
        // A link into nothing, or a file that went away: no matter unless it may be a photo.
        let gone = error
            .io_error()
            .is_some_and(|e| e.kind() == std::io::ErrorKind::NotFound);
        if is_loop || is_hidden(path) || (gone && !named_as_a_photo(path)) {
            return;
        }
        let cause = error
            .io_error()
            .map_or_else(|| error.to_string(), ToString::to_string);
        self.walked.faults.push(Fault {
            file: place.name_of(path),
            error: format!("it could not be looked into ({cause}); check its permissions"),
        });
    }

    fn finish(mut self) -> Walked {
        self.links.sort_by(|a, b| a.file.cmp(&b.file));
        let mut known: HashSet<String> = self.walked.files.iter().map(|f| f.key.clone()).collect();
        for link in self.links {
            if known.insert(link.key.clone()) {
                self.walked.files.push(link);
            }
        }
        self.walked.files.sort_by(|a, b| a.file.cmp(&b.file));
        self.walked.faults.sort_by(|a, b| a.file.cmp(&b.file));
        self.walked
    }
}

/// A reviewed folder.
struct Place<'a> {
    root: &'a Path,
    /// Before the names of its files.
    prefix: Option<&'a str>,
    own_name: String,
}

impl Place<'_> {
    fn name_of(&self, path: &Path) -> String {
        let below = slashed(path.strip_prefix(self.root).unwrap_or(path));
        match self.prefix {
            Some(prefix) if below.is_empty() => prefix.to_owned(),
            Some(prefix) => format!("{prefix}/{below}"),
            None if below.is_empty() => ".".to_owned(),
            None => below,
        }
    }

    fn found(&self, path: &Path, canonical: &Path, metadata: &Metadata) -> Found {
        let below = path.strip_prefix(self.root).unwrap_or(path);
        let parents = below.parent().into_iter().flat_map(Path::components);
        let parents = parents.map(|c| c.as_os_str().to_string_lossy().into_owned());
        let changed = metadata.modified().ok();
        let changed = changed.and_then(|t| t.duration_since(UNIX_EPOCH).ok());
        Found {
            path: path.to_path_buf(),
            file: self.name_of(path),
            folders: std::iter::once(self.own_name.clone())
                .chain(parents)
                .collect(),
            key: of_path(canonical),
            size: metadata.len(),
            changed_ns: changed.map_or(0, |t| t.as_nanos()),
        }
    }
}

/// Names that are no Unicode differ by more than they show.
fn of_path(path: &Path) -> String {
    let bytes = path.as_os_str().as_encoded_bytes();
    path.to_str()
        .map_or_else(|| bytes.escape_ascii().to_string(), str::to_owned)
}

fn slashed(path: &Path) -> String {
    let text = path.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' {
        text.into_owned()
    } else {
        text.replace(std::path::MAIN_SEPARATOR, "/")
    }
}

/// At the top of every drive of Windows: what was thrown away, and what nobody may look into.
const WINDOWS_OWN: [&str; 2] = ["$RECYCLE.BIN", "System Volume Information"];

fn is_hidden(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    name.as_encoded_bytes().starts_with(b".") || WINDOWS_OWN.iter().any(|own| name == *own)
}

fn is_photo(path: &Path) -> bool {
    match path.extension() {
        Some(_) => named_as_a_photo(path),
        None => begins_as_a_photo(path),
    }
}

fn named_as_a_photo(path: &Path) -> bool {
    super::super::import::is_named_like_a_photo(path)
}

/// An archive keeps its photos without an ending.
fn begins_as_a_photo(path: &Path) -> bool {
    let mut start = [0; 512];
    let read = File::open(path).and_then(|mut f| f.read(&mut start));
    read.is_ok_and(|count| crate::reading::photo::is_photo(&start[..count]))
}
