//! `seepline study make`: photos in, a folder per reader out.

use std::collections::{BTreeSet, HashMap};
use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use walkdir::WalkDir;

use super::super::archive::{self, say};
use super::super::import;
use super::super::review::{table_in, told_of};
use super::super::{Outcome, complain, settings};
use super::show::{self, Shown};
use super::{ANSWERS, KEY_FILE, KEY_FOLDER, folder_of, unless_held};
use crate::archive::in_use;
use crate::commands::cli::StudyMakeArgs;
use crate::people::opinion::Person;
use crate::people::study::{Asked, Order, Photo, Study, key_csv, written};
use crate::reading::face::TipDirection;
use crate::reading::photo::is_photo;
use crate::report::{StudyPages, answers_csv, study_pages};

/// With more than this nobody calls them all in one go; it also bounds what is held in memory.
const MOST_PHOTOS: usize = 500;
/// Bytes that tell a photo's format.
const START: usize = 64;

pub(super) fn run(args: &StudyMakeArgs) -> anyhow::Result<Outcome> {
    let asked = asked(args)?;
    let rules = settings::rules(&args.rules)?;
    let before = before(&args.into)?;
    let (files, names) = files(&args.photos, &args.into)?;
    let tips = tips(args, &names)?;
    let (shown, faults) = show::all(&files, &names, &tips, &asked, &rules);
    complain(&faults);
    ensure!(
        shown.len() >= 2,
        "{} has {} photos that can be shown; a study takes two or more",
        args.photos.display(),
        shown.len()
    );
    let photos = shown.iter().map(|s| s.photo.clone()).collect();
    let study = study(asked, photos, args.seed, before, &args.into)?;
    let proof = archive::proof(&args.archive, &rules);
    let study = unless_held(study, proof.as_ref());
    write(&study, &shown, &args.into)?;
    complain(&doubts(&shown));
    told(&study, args)?;
    Ok(if faults.is_empty() {
        Outcome::Done
    } else {
        Outcome::Unjudged
    })
}

fn asked(args: &StudyMakeArgs) -> anyhow::Result<Asked> {
    let readers: Result<Vec<Person>, _> = args.readers.iter().map(|r| Person::parse(r)).collect();
    let readers = readers.context("--readers names who will call")?;
    let mut seen = BTreeSet::new();
    if let Some(twice) = readers.iter().find(|r| !seen.insert(*r)) {
        bail!("the reader {twice} is named twice; give each reader once");
    }
    Ok(Asked {
        rounds: args.repeats,
        method: args.method,
        tip: of_all(args),
        grip: args.grip,
        readers,
    })
}

/// Where the tip points in all photos, where that is said of all at once.
fn of_all(args: &StudyMakeArgs) -> Option<TipDirection> {
    match &args.tip[..] {
        [all] if args.groups.is_none() => all.0,
        _ => None,
    }
}

/// What was said of the tip, photo by photo; the table's word goes before the option's.
fn tips(args: &StudyMakeArgs, names: &[String]) -> anyhow::Result<Vec<Option<TipDirection>>> {
    let said: Vec<Option<TipDirection>> = match &args.tip[..] {
        [] => vec![None; names.len()],
        [all] => vec![all.0; names.len()],
        each => each.iter().map(|said| said.0).collect(),
    };
    ensure!(
        said.len() == names.len(),
        "{} --tip for {} photos; give --tip once for all photos, or once per photo in the order of their names, with \
         `unsaid` where you don't know:\n  {}",
        said.len(),
        names.len(),
        names.join("\n  ")
    );
    let Some(table) = &args.groups else {
        return Ok(said);
    };
    let by_table = by_table(table, names)?;
    let of = |(name, said): (&String, Option<TipDirection>)| by_table.get(name).copied().or(said);
    Ok(names.iter().zip(said).map(of).collect())
}

/// The tips that the table says, by photo. A line that is of no use is told and stops none of the others.
fn by_table(table: &Path, names: &[String]) -> anyhow::Result<HashMap<String, TipDirection>> {
    let (rows, _) = table_in(table)?;
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let (rows, unused) = rows.of_files(&names);
    complain(&told_of(table, &unused));
    let tips = rows.into_iter();
    Ok(tips
        .filter_map(|(name, row)| Some((name, row.tip?)))
        .collect())
}

/// The study that is in the folder already. A folder with anything else in it is left alone.
fn before(folder: &Path) -> anyhow::Result<Option<Study>> {
    let name = folder.display();
    let key = folder.join(KEY_FOLDER).join(KEY_FILE);
    match fs::read(&key) {
        Ok(bytes) => Ok(Some(
            Study::parse(&bytes).with_context(|| key.display().to_string())?,
        )),
        Err(e) if e.kind() == ErrorKind::NotFound => {
            let empty = fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_none());
            ensure!(
                empty,
                "{name} is not empty and holds no study; name another folder"
            );
            Ok(None)
        }
        Err(e) => Err(e).with_context(|| format!("the key in {name} could not be read")),
    }
}

/// Photos below the folder with their names, in the order of their names.
fn files(folder: &Path, into: &Path) -> anyhow::Result<(Vec<PathBuf>, Vec<String>)> {
    let name = folder.display();
    ensure!(
        folder.is_dir(),
        "{name} is no folder that can be opened; name the folder that the photos are in"
    );
    // The study may be written among the photos; what it holds is none of them.
    let own = fs::canonicalize(into).ok();
    let outside = |path: &Path| own.is_none() || fs::canonicalize(path).ok() != own;
    let entries = WalkDir::new(folder).sort_by_file_name().into_iter();
    let entries =
        entries.filter_entry(|e| e.depth() == 0 || (!is_hidden(e.path()) && outside(e.path())));
    let files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .filter(|e| e.file_type().is_file() && looks_like_a_photo(e.path()))
        .map(walkdir::DirEntry::into_path)
        .collect();
    ensure!(
        !files.is_empty(),
        "no photos (JPEG, PNG, WebP or HEIC) are in {name}; name the folder that they are in"
    );
    ensure!(
        files.len() <= MOST_PHOTOS,
        "{} photos are in {name}; a study takes at most {MOST_PHOTOS}, and nobody calls more with care",
        files.len()
    );
    let names = files
        .iter()
        .map(|f| slashed(f.strip_prefix(folder).unwrap_or(f)))
        .collect();
    Ok((files, names))
}

fn is_hidden(path: &Path) -> bool {
    path.file_name()
        .is_some_and(|n| n.to_string_lossy().starts_with('.'))
}

/// By its content, or by a name that promises one, so that a broken photo is named and not passed over.
fn looks_like_a_photo(path: &Path) -> bool {
    import::is_named_like_a_photo(path) || is_photo(&start_of(path))
}

fn start_of(path: &Path) -> Vec<u8> {
    use std::io::Read;
    let mut start = Vec::new();
    let read = File::open(path).and_then(|f| f.take(START as u64).read_to_end(&mut start));
    if read.is_err() { Vec::new() } else { start }
}

/// With slashes on every system. By its parts, as a backslash is a letter like others in a Unix name.
fn slashed(path: &Path) -> String {
    let parts = path.iter().map(|part| part.to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}

/// A new study, or the one that is there where it is the same: then only what is missing is written.
fn study(
    asked: Asked,
    photos: Vec<Photo>,
    seed: Option<u64>,
    before: Option<Study>,
    into: &Path,
) -> anyhow::Result<Study> {
    let Some(before) = before else {
        let seed = seed.map_or_else(drawn_seed, Ok)?;
        return Ok(Study::new(asked, photos, seed));
    };
    let again = Study::new(asked, photos, seed.unwrap_or(before.seed));
    ensure!(
        again.same_plan(&before),
        "{} holds another study (other photos, readers, repeats, seed, method, grip or tip); it was left as it \
         is. Name another folder",
        into.display()
    );
    Ok(before)
}

fn drawn_seed() -> anyhow::Result<u64> {
    let seed = getrandom::u64().context("the system gives no random numbers; give a --seed")?;
    // Short enough to be written down and typed in.
    Ok(seed % 1_000_000)
}

fn write(study: &Study, shown: &[Shown], into: &Path) -> anyhow::Result<()> {
    let told = || {
        let folder = into.display();
        format!(
            "the study could not be written to {folder}; check the folder and its free space, and run it again"
        )
    };
    let key = into.join(KEY_FOLDER);
    // The key before the readers' folders: without it, what they answer is of no use.
    fs::create_dir_all(&key).with_context(told)?;
    let mut json = serde_json::to_vec_pretty(study)?;
    json.push(b'\n');
    replace(&key.join(KEY_FILE), &json).with_context(told)?;
    replace(&key.join("key.csv"), &key_csv(study)?).with_context(told)?;
    for (reader, order) in study.by_reader() {
        for_reader(study, reader, order, shown, &into.join(folder_of(reader)))
            .with_context(told)?;
    }
    Ok(())
}

fn for_reader(
    study: &Study,
    reader: &Person,
    order: &Order,
    shown: &[Shown],
    folder: &Path,
) -> anyhow::Result<()> {
    let photos = folder.join("photos");
    fs::create_dir_all(&photos)?;
    for (at, photo) in order.iter().enumerate() {
        let name = written(at + 1, order.len());
        replace(&photos.join(format!("{name}.jpg")), &shown[*photo].jpeg)?;
    }
    let [look, sheet] = study_pages(&StudyPages {
        reader,
        method: study.method,
        grip: study.grip,
        sizes: order.iter().map(|photo| shown[*photo].size).collect(),
    });
    replace(&folder.join("look.html"), look.as_bytes())?;
    replace(&folder.join("answer-sheet.html"), sheet.as_bytes())?;
    new_sheet(&folder.join(ANSWERS), &answers_csv(reader, order.len())?)?;
    Ok(())
}

/// Whole or not at all.
fn replace(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut unfinished = file.as_os_str().to_owned();
    unfinished.push(".part");
    let unfinished = PathBuf::from(unfinished);
    fs::write(&unfinished, bytes)?;
    in_use::rename(&unfinished, file)
}

/// A sheet that is there may be filled in, so it is never written over; an empty file is what a full disk
/// leaves.
fn new_sheet(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    match fs::metadata(file) {
        Ok(there) if there.len() > 0 => Ok(()),
        Err(e) if e.kind() != ErrorKind::NotFound => Err(e),
        _ => replace(file, bytes),
    }
}

/// A tip that points elsewhere turns every call of that photo round.
fn doubts(shown: &[Shown]) -> Vec<String> {
    let in_doubt = shown.iter().filter(|s| s.tip_in_doubt);
    let told = |s: &Shown| {
        format!(
            "{}: the picture does not bear out that the tip points there; look, or everybody may call it the \
             wrong way round (seepline does not call it)",
            s.photo.file
        )
    };
    in_doubt.map(told).collect()
}

fn told(study: &Study, args: &StudyMakeArgs) -> anyhow::Result<()> {
    let into = args.into.display();
    let each = study.photos.len() * study.rounds as usize;
    let folders: Vec<String> = study.readers.iter().map(folder_of).collect();
    say(&format!(
        "{} photos, each {} to every reader, {each} to call (seed {}).",
        study.photos.len(),
        if study.rounds == 1 {
            "once".to_owned()
        } else {
            format!("{} times", study.rounds)
        },
        study.seed
    ))?;
    say(&format!(
        "Give each reader only the own folder in {into}: {}.",
        folders.join(", ")
    ))?;
    say(&format!(
        "The key is in {}; keep it away from them. When the sheets are filled in: seepline study report {into}",
        args.into.join(KEY_FOLDER).display()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_keeps_its_backslash_where_that_is_a_letter() {
        let two: PathBuf = ["set", "jaw1.jpg"].iter().collect();
        assert_eq!(slashed(&two), "set/jaw1.jpg");
        if cfg!(unix) {
            assert_eq!(slashed(Path::new("jaw\\1.jpg")), "jaw\\1.jpg");
        }
    }
}
