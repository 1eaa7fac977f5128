//! No test lies about that is not run: a file that no other one names as its module is never compiled.

use std::fs;
use std::path::Path;

/// Rust files below `folder`, but those of the fuzz targets, which are a workspace of their own.
fn sources(folder: &Path, found: &mut Vec<std::path::PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let place = entry.expect("an entry").path();
        if place.is_dir() && !place.ends_with("fuzz") {
            sources(&place, found);
        } else if place.extension().is_some_and(|e| e == "rs") {
            found.push(place);
        }
    }
}

/// Where the module of this file has to be named: the folder's own file, or that of the program.
fn parent(file: &Path, root: &Path) -> std::path::PathBuf {
    let mut folder = file.parent().expect("a folder");
    if file.ends_with("mod.rs") {
        folder = folder.parent().expect("a folder");
    }
    let own = [folder.join("mod.rs"), folder.with_extension("rs")];
    let own = own.into_iter().find(|f| f.is_file() && folder != root);
    own.unwrap_or_else(|| root.join("all.rs"))
}

#[test]
fn every_file_of_tests_is_a_module_of_the_program() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut found = Vec::new();
    sources(&root, &mut found);
    for file in found.iter().filter(|f| !f.ends_with("all.rs")) {
        let named = if file.ends_with("mod.rs") {
            file.parent().expect("a folder")
        } else {
            file
        };
        let module = named.file_stem().expect("a name").to_string_lossy();
        let parent = parent(file, &root);
        let text = fs::read_to_string(&parent).expect("a file");
        let declared = text
            .lines()
            .any(|l| l.trim_start_matches("pub(crate) ") == format!("mod {module};"));
        assert!(
            declared,
            "{} is not named in {}",
            file.display(),
            parent.display()
        );
    }
}
