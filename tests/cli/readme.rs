use std::fs;

use inkfathom_tests::repository;

use crate::program::inkfathom;

/// The commands of the README's blocks of shell, without their comments.
fn blocks() -> Vec<Vec<String>> {
    let readme = fs::read_to_string(repository().join("README.md")).unwrap();
    let shell = readme.split("```sh\n").skip(1).filter_map(|rest| rest.split("```").next());
    let commands = |block: &str| {
        let lines = block.replace("\\\n", " ");
        let lines = lines.lines().map(str::trim);
        lines.filter(|line| !line.is_empty() && !line.starts_with('#')).map(str::to_owned).collect()
    };
    shell.map(commands).collect()
}

#[test]
fn the_first_command_of_the_readme_runs() {
    let blocks = blocks();
    let command = blocks[0].iter().find(|line| line.starts_with("cargo run ")).unwrap();
    let (cargo, arguments) = command.split_once(" -- ").unwrap();
    assert_eq!(cargo, "cargo run --release --locked");
    assert!(!arguments.contains(['"', '\'', '|', '>', '*']), "more than words: {arguments}");
    let run = inkfathom(arguments.split_whitespace()).ending_with(0);
    assert!(run.data.contains("An estimate is not a measurement."), "{}", run.data);
}

#[test]
fn the_second_block_of_the_readme_is_the_one_check_command() {
    assert_eq!(blocks()[1], ["cargo verify"]);
}
