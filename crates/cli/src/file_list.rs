use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use crate::shell_error::ShellError;

/// Endings of files that a folder is searched for: those of the formats that are read.
const ENDINGS: [&str; 15] = [
    "jpg", "jpeg", "jpe", "jfif", "png", "tif", "tiff", "webp", "gif", "bmp", "pnm", "ppm", "pgm",
    "pdf", "svg",
];

/// Longest list in bytes: a million paths of common length. Our choice: what is longer is no list.
const LONGEST_LIST: u64 = 256 << 20;

/// What an argument or a line of a list has led to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Listed {
    /// A file to be read.
    File(PathBuf),
    /// Something that leads to no file, and why.
    Unusable { name: String, error: String },
}

/// Gathers files from names of files, folders and patterns.
#[derive(Debug)]
pub(crate) struct FileList {
    recursive: bool,
    listed: Vec<Listed>,
}

impl FileList {
    pub(crate) const fn new(recursive: bool) -> Self {
        Self { recursive, listed: Vec::new() }
    }

    pub(crate) fn into_listed(self) -> Vec<Listed> {
        self.listed
    }

    /// Adds a file, the pictures of a folder in the order of their paths, or what a pattern finds.
    ///
    /// A name that exists is never taken as a pattern.
    pub(crate) fn add(&mut self, path: PathBuf) {
        let pattern = path.to_str().filter(|text| text.contains(['*', '?', '[']));
        match pattern.filter(|_| !path.exists()) {
            Some(pattern) => self.add_pattern(pattern),
            None if path.is_dir() => self.add_folder(&path),
            None => self.listed.push(Listed::File(path)),
        }
    }

    /// Adds what a file or, for `-`, standard input lists.
    pub(crate) fn add_list(&mut self, path: &Path) -> Result<(), ShellError> {
        let unreadable = |cause| ShellError::UnreadableFileList { path: path.to_owned(), cause };
        let bytes = if path.as_os_str() == "-" {
            read_whole(io::stdin().lock())
        } else {
            fs::File::open(path).and_then(read_whole)
        };
        for name in names(&bytes.map_err(unreadable)?) {
            self.add(path_of(name));
        }
        Ok(())
    }

    fn add_folder(&mut self, folder: &Path) {
        let mut found = BTreeSet::new();
        let mut faults = Vec::new();
        let mut to_search = vec![folder.to_owned()];
        while let Some(folder) = to_search.pop() {
            match search(&folder) {
                Err(cause) => faults.push((folder, cause)),
                Ok((pictures, folders)) => {
                    found.extend(pictures);
                    if self.recursive {
                        to_search.extend(folders);
                    }
                }
            }
        }
        if found.is_empty() && faults.is_empty() {
            let deeper = if self.recursive { "" } else { ", or pass --recursive" };
            self.unusable(folder, format!("the folder holds no picture; name another{deeper}"));
        }
        self.listed.extend(found.into_iter().map(Listed::File));
        for (folder, cause) in faults {
            self.unusable(&folder, format!("the folder can't be searched: {cause}"));
        }
    }

    fn add_pattern(&mut self, pattern: &str) {
        let options = glob::MatchOptions {
            require_literal_leading_dot: true,
            ..glob::MatchOptions::default()
        };
        match glob::glob_with(pattern, options) {
            Err(fault) => self.unusable(
                Path::new(pattern),
                format!("no pattern: {}, at character {}; correct it", fault.msg, fault.pos + 1),
            ),
            Ok(paths) => {
                let before = self.listed.len();
                for path in paths {
                    match path {
                        Ok(path) if path.is_dir() => self.add_folder(&path),
                        Ok(path) => self.listed.push(Listed::File(path)),
                        Err(fault) => self.unusable(fault.path(), fault.error().to_string()),
                    }
                }
                if self.listed.len() == before {
                    let error = "no file matches the pattern; check it".to_owned();
                    self.unusable(Path::new(pattern), error);
                }
            }
        }
    }

    fn unusable(&mut self, path: &Path, error: String) {
        self.listed.push(Listed::Unusable { name: path.display().to_string(), error });
    }
}

/// The pictures and the folders in a folder. Hidden ones are left out, and folders behind symbolic
/// links, which may lead in circles.
fn search(folder: &Path) -> io::Result<(Vec<PathBuf>, Vec<PathBuf>)> {
    let (mut pictures, mut folders) = (Vec::new(), Vec::new());
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        if entry.file_type()?.is_dir() {
            folders.push(path);
        } else if path.is_file() && is_picture(&path) {
            pictures.push(path);
        }
    }
    Ok((pictures, folders))
}

/// Whether a file in a folder is taken as a picture, by its name.
pub(crate) fn is_picture(path: &Path) -> bool {
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
    ending.is_some_and(|ending| ENDINGS.contains(&ending.as_str()))
}

fn read_whole(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(LONGEST_LIST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LONGEST_LIST {
        let longest = LONGEST_LIST >> 20;
        return Err(io::Error::other(format!("longer than {longest} MiB; split the list")));
    }
    Ok(bytes)
}

/// The names of a list: each ended by NUL where there is one, else one a line.
fn names(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    let end = if bytes.contains(&0) { 0 } else { b'\n' };
    bytes
        .split(move |byte| *byte == end)
        .map(move |part| if end == 0 { part } else { part.strip_suffix(b"\r").unwrap_or(part) })
        .filter(|part| !part.is_empty())
}

#[cfg(unix)]
fn path_of(name: &[u8]) -> PathBuf {
    use std::os::unix::ffi::OsStringExt;
    PathBuf::from(OsString::from_vec(name.to_vec()))
}

#[cfg(not(unix))]
fn path_of(name: &[u8]) -> PathBuf {
    PathBuf::from(OsString::from(String::from_utf8_lossy(name).into_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed(names: &[&Path], recursive: bool) -> Vec<Listed> {
        let mut list = FileList::new(recursive);
        for name in names {
            list.add(name.to_path_buf());
        }
        list.into_listed()
    }

    #[test]
    fn lists_are_parted_by_nul_or_by_line_ends_of_both_kinds() {
        let parts = |bytes: &'static [u8]| names(bytes).collect::<Vec<_>>();
        assert_eq!(parts(b"a b\nc\r\n\n"), [b"a b".as_slice(), b"c"]);
        assert_eq!(parts(b"a\nb\0c\0"), [b"a\nb".as_slice(), b"c"]);
    }

    #[test]
    fn folders_give_their_pictures_in_order_and_deeper_ones_on_request() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir(at("deeper")).unwrap();
        for name in ["z.JPG", "a.png", "notes.txt", ".hidden.png", "deeper/b.tif"] {
            fs::write(at(name), "").unwrap();
        }
        let files =
            |names: &[&str]| names.iter().map(|name| Listed::File(at(name))).collect::<Vec<_>>();
        assert_eq!(listed(&[folder.path()], false), files(&["a.png", "z.JPG"]));
        assert_eq!(listed(&[folder.path()], true), files(&["a.png", "deeper/b.tif", "z.JPG"]));
        assert_eq!(listed(&[&at("*.png")], false), files(&["a.png"]));
    }

    #[test]
    fn what_leads_nowhere_is_listed_with_its_fault() {
        let folder = tempfile::tempdir().unwrap();
        for (name, words) in [
            (folder.path().to_owned(), "holds no picture"),
            (folder.path().join("*.png"), "no file matches"),
            (folder.path().join("[a"), "no pattern"),
        ] {
            let all = listed(&[&name], false);
            assert!(
                matches!(&all[..], [Listed::Unusable { error, .. }] if error.contains(words)),
                "{all:?}"
            );
        }
    }
}
