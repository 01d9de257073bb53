//! Reading the TOML text of price lists and job lists.

mod ink;
mod jobs;
mod list;
mod paper;
mod profit;
mod quantity;
mod work;

use crate::Fault;

pub(crate) use jobs::read_jobs;
pub(crate) use list::read_list;

type Entry<'t> = strict_toml::Entry<'t, Fault, ()>;
type Table<'t> = strict_toml::Table<'t, Fault, ()>;

#[cfg(test)]
mod tests {
    use super::{ink, jobs, list, paper, profit, work};

    const EXAMPLE: &str = include_str!("../../example.toml");
    const JOBS: &str = include_str!("../../example-jobs.toml");

    /// As a key of a line, commented out or not, or as part of a table's name.
    fn shows(example: &str, key: &str) -> bool {
        example.lines().any(|line| {
            let line = line.trim_start_matches("# ");
            line.starts_with(&format!("{key} = "))
                || line.starts_with('[') && line.split(['[', '.', ']']).any(|part| part == key)
        })
    }

    fn missing<'k>(example: &str, keys: &[&[&'k str]]) -> Vec<&'k str> {
        keys.concat().into_iter().filter(|key| !shows(example, key)).collect()
    }

    #[test]
    fn the_examples_show_every_key_of_the_schema() {
        let keys: [&[&str]; 10] = [
            &list::LIST_KEYS,
            &list::OVERHEAD_KEYS,
            &list::LAYOUT_KEYS,
            &ink::INK_KEYS,
            &paper::PAPER_KEYS,
            &paper::ROLL_KEYS,
            &profit::PROFIT_KEYS,
            &profit::TAX_KEYS,
            &profit::BREAK_KEYS,
            &work::WORK_KEYS,
        ];
        assert_eq!(missing(EXAMPLE, &keys), Vec::<&str>::new());
        assert_eq!(missing(JOBS, &[&jobs::LIST_KEYS, &jobs::JOB_KEYS]), Vec::<&str>::new());
    }
}
