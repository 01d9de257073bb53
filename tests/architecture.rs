//! The shape of the house: which room may need which, and what no room below the shells may do.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use inkfathom_tests::repository;
use toml::{Table, Value};

/// Rooms and the rooms that each needs.
type Arrows = BTreeMap<String, BTreeSet<String>>;

/// The rooms that talk to a terminal, to files and to the environment.
const SHELLS: [&str; 2] = ["cli", "service"];

/// What only shells do: print, and ask the machine for files, its environment or the time.
const OF_SHELLS: [&str; 14] = [
    "print!(",
    "println!(",
    "eprint!(",
    "eprintln!(",
    "dbg!(",
    "std::env",
    "env::",
    "SystemTime",
    "Instant::now",
    "File::open",
    "File::create",
    "OpenOptions",
    "std::fs",
    "fs::",
];

/// Names of modules that say nothing about what is in them.
const NAMELESS: [&str; 5] = ["common", "helper", "helpers", "misc", "util"];

/// Leaves every room to which an arrow leads, until no room is left or all left lie on cycles.
fn rooms_on_cycles(arrows: &Arrows) -> BTreeSet<String> {
    let mut left = arrows.clone();
    loop {
        let free = |needs: &BTreeSet<String>| needs.iter().all(|room| !left.contains_key(room));
        let next: Vec<String> =
            left.iter().filter(|(_, needs)| free(needs)).map(|(room, _)| room.clone()).collect();
        if next.is_empty() {
            return left.into_keys().collect();
        }
        left.retain(|room, _| !next.contains(room));
    }
}

fn manifest(path: &Path) -> Table {
    fs::read_to_string(path).unwrap().parse().unwrap()
}

/// The rooms by the name under which manifests need them.
fn rooms_by_key() -> BTreeMap<String, String> {
    let root = manifest(&repository().join("Cargo.toml"));
    let dependencies = root["workspace"]["dependencies"].as_table().unwrap().clone();
    let room =
        |value: &Value| value.get("path")?.as_str()?.strip_prefix("crates/").map(str::to_owned);
    dependencies.iter().filter_map(|(key, value)| Some((key.clone(), room(value)?))).collect()
}

fn rooms() -> Vec<String> {
    let entries = fs::read_dir(repository().join("crates")).unwrap();
    let mut rooms: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    rooms.sort();
    rooms
}

/// The rooms that a manifest needs for the library itself, on whatever machine.
fn needs(manifest: &Table, rooms_by_key: &BTreeMap<String, String>) -> BTreeSet<String> {
    let machines = manifest.get("target").and_then(Value::as_table).into_iter();
    let of_machines = machines.flat_map(|table| table.values().filter_map(Value::as_table));
    let tables = std::iter::once(manifest).chain(of_machines);
    let kinds = ["dependencies", "build-dependencies"];
    let needed = tables.flat_map(|table| kinds.iter().filter_map(|kind| table.get(*kind)));
    needed
        .filter_map(Value::as_table)
        .flat_map(Table::keys)
        .filter_map(|key| rooms_by_key.get(key).cloned())
        .collect()
}

fn arrows_of_manifests() -> Arrows {
    let rooms_by_key = rooms_by_key();
    let of_room = |room: String| {
        let path = repository().join("crates").join(&room).join("Cargo.toml");
        let needs = needs(&manifest(&path), &rooms_by_key);
        (room, needs)
    };
    rooms().into_iter().map(of_room).collect()
}

/// Reads the rows `` | `room` | `one`, `other` | `` of a table; anything but rooms is left out.
fn arrows_of_table(table: &str) -> Arrows {
    let in_backticks = |cell: &str| -> BTreeSet<String> {
        cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    };
    let rows = table.lines().filter(|line| line.starts_with("| `"));
    rows.map(|row| {
        let cells: Vec<&str> = row.split('|').collect();
        let room = in_backticks(cells[1]).pop_first().unwrap();
        (room, in_backticks(cells[2]))
    })
    .collect()
}

fn documented_arrows() -> Arrows {
    let guide = fs::read_to_string(repository().join("DEVELOPERS.md")).unwrap();
    let (_, rest) = guide.split_once("<!-- arrows -->").expect("the table starts with a marker");
    let (table, _) = rest.split_once("<!-- /arrows -->").expect("the table ends with a marker");
    arrows_of_table(table)
}

/// The arrows of one that the other lacks, for reading.
fn beyond(one: &Arrows, other: &Arrows) -> Vec<String> {
    let lacks = |room: &str, need: &str| other.get(room).is_none_or(|needs| !needs.contains(need));
    let mut all: Vec<String> = one
        .keys()
        .filter(|room| !other.contains_key(*room))
        .map(|room| format!("`{room}`"))
        .collect();
    for (room, needs) in one {
        let further = needs.iter().filter(|need| lacks(room, need));
        all.extend(further.map(|need| format!("`{room}` needs `{need}`")));
    }
    all
}

/// Every source file under a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let paths = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    paths
        .flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] })
        .filter(|path| path.extension().is_some_and(|extension| extension == "rs"))
        .collect()
}

/// The lines of a source that run in the product, with their numbers: no comments, and nothing
/// from the tests on, which stand last in a file.
fn product_lines(source: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = source.lines().enumerate().map(|(index, line)| (index + 1, line.trim_start()));
    lines
        .take_while(|(_, line)| !line.starts_with("#[cfg(test)]"))
        .filter(|(_, line)| !line.starts_with("//"))
}

/// The places in a source that do what only shells do.
fn acts_of_shells(source: &str) -> Vec<String> {
    let found = |line: &&str| OF_SHELLS.into_iter().find(|act| has_word(line, act));
    product_lines(source)
        .filter_map(|(number, line)| Some(format!("line {number}: {}", found(&line)?)))
        .collect()
}

/// Whether a line has some words that don't continue a longer name.
fn has_word(line: &str, words: &str) -> bool {
    let starts_word = |at: usize| {
        let before = line[..at].chars().next_back();
        before.is_none_or(|letter| !letter.is_alphanumeric() && letter != '_')
    };
    line.match_indices(words).any(|(at, _)| starts_word(at))
}

fn library_rooms() -> impl Iterator<Item = String> {
    rooms().into_iter().filter(|room| !SHELLS.contains(&room.as_str()))
}

fn sources_of(room: &str) -> Vec<PathBuf> {
    sources(&repository().join("crates").join(room).join("src"))
}

#[test]
fn manifests_have_the_arrows_of_the_table_and_no_others() {
    let (built, documented) = (arrows_of_manifests(), documented_arrows());
    assert!(built.len() >= 12, "{built:?}");
    let undocumented = beyond(&built, &documented);
    assert!(undocumented.is_empty(), "DEVELOPERS.md lacks: {}", undocumented.join(", "));
    let unbuilt = beyond(&documented, &built);
    assert!(unbuilt.is_empty(), "no manifest has: {}", unbuilt.join(", "));
}

#[test]
fn arrows_run_one_way() {
    assert_eq!(rooms_on_cycles(&arrows_of_manifests()), BTreeSet::new());
    assert_eq!(rooms_on_cycles(&documented_arrows()), BTreeSet::new());
}

#[test]
fn library_rooms_leave_printing_files_environment_and_time_to_the_shells() {
    let mut found = Vec::new();
    for path in library_rooms().flat_map(|room| sources_of(&room)) {
        let source = fs::read_to_string(&path).unwrap();
        found
            .extend(acts_of_shells(&source).iter().map(|act| format!("{}, {act}", path.display())));
    }
    assert!(found.is_empty(), "only shells do this:\n{}", found.join("\n"));
}

#[test]
fn the_front_page_of_a_room_holds_no_logic() {
    for room in rooms() {
        let page = repository().join("crates").join(&room).join("src/lib.rs");
        let source = fs::read_to_string(page).unwrap();
        let logic = product_lines(&source).find(|(_, line)| has_word(line, "fn "));
        assert_eq!(logic, None, "lib.rs of {room}");
    }
}

#[test]
fn every_module_is_named_after_what_it_holds() {
    for path in rooms().iter().flat_map(|room| sources_of(room)) {
        let name = path.file_stem().unwrap().to_str().unwrap();
        assert!(!NAMELESS.contains(&name), "{} says nothing", path.display());
    }
}

#[test]
fn a_cycle_is_found() {
    let table = "| `a` | – |\n| `b` | `a`, `d` |\n| `c` | `b` |\n| `d` | `c` |\n";
    let on_cycles = rooms_on_cycles(&arrows_of_table(table));
    assert_eq!(on_cycles, BTreeSet::from(["b", "c", "d"].map(str::to_owned)));
}

#[test]
fn an_arrow_or_a_room_that_one_side_lacks_is_found() {
    let one = arrows_of_table("| `a` | – |\n| `b` | `a` |\n");
    let other = arrows_of_table("| `b` | – |\n");
    assert_eq!(beyond(&one, &other), ["`a`", "`b` needs `a`"]);
    assert!(beyond(&other, &one).is_empty());
}

#[test]
fn an_act_of_a_shell_is_found_outside_tests_and_comments() {
    let source = "// println!(\nlet t = Instant::now();\nlet s = offs::new();\n\
                  #[cfg(test)]\nmod tests { use std::fs; }\n";
    assert_eq!(acts_of_shells(source), ["line 2: Instant::now"]);
}
