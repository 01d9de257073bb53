use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use crate::configuration_file::read_file;
use crate::settings_table::{Kind, SETTINGS, Setting, VARIABLES};

/// What the service is told about itself, complete and checked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Configuration {
    /// Where it listens.
    pub listen: SocketAddr,
    /// Where it keeps uploads.
    pub data_folder: PathBuf,
    /// The ledger's file.
    pub ledger: PathBuf,
    /// What pages call the studio.
    pub studio_name: String,
    /// Whether anybody may upload without a key.
    pub public_page: bool,
    /// Uploads without a key from one address in an hour.
    pub public_uploads_per_hour: u32,
    /// Of these, how many may come at once.
    pub public_uploads_at_once: u32,
    /// Questions by links from one address in an hour.
    pub public_questions_per_hour: u32,
    /// Whether picture files stay after counting.
    pub keep_pictures: bool,
    /// Ink sets by name or path, the first for uploads.
    pub ink_sets: Vec<String>,
    /// Price lists by name or path, the first for uploads.
    pub price_lists: Vec<String>,
    /// Largest file in bytes.
    pub most_upload_bytes: u64,
    /// Largest picture in pixels.
    pub most_pixels: u64,
    /// Processes that count.
    pub workers: usize,
    /// Address space of each in bytes.
    pub worker_memory: u64,
    /// Time of each.
    pub worker_time: Duration,
    /// How long a client may be silent.
    pub client_patience: Duration,
    /// Slowest upload in bytes a second.
    pub least_bytes_per_second: u64,
    /// How long a connection may be idle.
    pub idle_patience: Duration,
    /// Connections side by side.
    pub most_connections: usize,
    /// How long a browser is known.
    pub session_time: Duration,
    /// Whether cookies go over TLS alone.
    pub behind_tls: bool,
    /// Whether a server in front tells the client's address.
    pub trust_forwarded_for: bool,
}

/// Values from several places, of which the later ones rule.
#[derive(Clone, Debug)]
pub struct ConfigurationSources {
    values: BTreeMap<&'static str, (String, Origin)>,
    faults: Vec<String>,
}

/// Where a value comes from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
enum Origin {
    #[default]
    Default,
    File {
        path: String,
        line: usize,
    },
    Variable(String),
    Flag,
}

impl Default for ConfigurationSources {
    fn default() -> Self {
        let of = |setting: &Setting| (setting.key, (setting.default.to_owned(), Origin::Default));
        Self { values: SETTINGS.iter().map(of).collect(), faults: Vec::new() }
    }
}

impl ConfigurationSources {
    /// Where data lies when nobody says so.
    pub fn set_default_folder(&mut self, folder: String) {
        self.values.insert("data_folder", (folder, Origin::Default));
    }

    /// Takes the text of a file; every fault is told at the end.
    pub fn take_file(&mut self, text: &str, path: &str) {
        match read_file(text, path) {
            Ok(stated) => {
                for (key, value, line) in stated {
                    let path = path.to_owned();
                    self.values.insert(key, (value, Origin::File { path, line }));
                }
            }
            Err(faults) => self.faults.extend(faults),
        }
    }

    /// Takes the variables of the environment that begin with `INKFATHOM_`.
    pub fn take_variables(&mut self, variables: impl IntoIterator<Item = (String, String)>) {
        for (name, value) in variables {
            if !name.starts_with(VARIABLES) {
                continue;
            }
            match SETTINGS.iter().find(|setting| setting.variable() == name) {
                Some(setting) => {
                    self.values.insert(setting.key, (value, Origin::Variable(name)));
                }
                None => self.faults.push(format!(
                    "{name} is no setting; `serve --print-configuration` shows all of them"
                )),
            }
        }
    }

    /// Takes a flag `KEY=VALUE`.
    pub fn take_flag(&mut self, key: &str, value: &str) {
        match SETTINGS.iter().find(|setting| setting.key == key) {
            Some(setting) => {
                self.values.insert(setting.key, (value.to_owned(), Origin::Flag));
            }
            None => {
                let known = SETTINGS.iter().map(|setting| setting.key);
                let nearest = strict_toml::nearest_name(key, known)
                    .map_or_else(String::new, |name| format!(", did you mean `{name}`?"));
                self.faults.push(format!("`{key}` is no setting{nearest}"));
            }
        }
    }

    /// The effective configuration as a file that says where each value comes from.
    #[must_use]
    pub fn printed(&self) -> String {
        let mut text = String::new();
        for setting in &SETTINGS {
            let Some((value, origin)) = self.values.get(setting.key) else { continue };
            let written = written(&setting.kind, value);
            // Writing to a string can't fail.
            let _ = writeln!(text, "# {}", setting.help);
            let _ = writeln!(text, "# from {origin}");
            let _ = writeln!(text, "{} = {written}\n", setting.key);
        }
        text
    }

    /// The checked configuration.
    ///
    /// # Errors
    ///
    /// Every fault of every source, each with its place, value, range and remedy.
    pub fn finish(mut self) -> Result<Configuration, Vec<String>> {
        let configuration = self.configuration();
        if self.faults.is_empty() { Ok(configuration) } else { Err(self.faults) }
    }

    fn configuration(&mut self) -> Configuration {
        let data_folder = PathBuf::from(self.text("data_folder"));
        if data_folder.as_os_str().is_empty() {
            self.faults.push("data_folder is empty; name a folder for uploads".to_owned());
        }
        let ledger = match self.text("ledger") {
            empty if empty.is_empty() => data_folder.join("ledger.sqlite"),
            path => PathBuf::from(path),
        };
        Configuration {
            listen: self.address("listen"),
            ledger,
            data_folder,
            studio_name: self.text("studio_name"),
            public_page: self.truth("public_page"),
            public_uploads_per_hour: self.small("public_uploads_per_hour"),
            public_uploads_at_once: self.small("public_uploads_at_once"),
            public_questions_per_hour: self.small("public_questions_per_hour"),
            keep_pictures: self.truth("keep_pictures"),
            ink_sets: self.names("ink_sets"),
            price_lists: self.names("price_lists"),
            most_upload_bytes: self.whole("most_upload_mib") << 20,
            most_pixels: self.whole("most_megapixels") * 1_000_000,
            workers: self.small("workers") as usize,
            worker_memory: self.whole("worker_memory_mib") << 20,
            worker_time: Duration::from_secs(self.whole("worker_seconds")),
            client_patience: Duration::from_secs(self.whole("client_seconds")),
            least_bytes_per_second: self.whole("least_kib_per_second") << 10,
            idle_patience: Duration::from_secs(self.whole("idle_seconds")),
            most_connections: self.small("most_connections") as usize,
            session_time: Duration::from_secs(self.whole("session_hours") * 3600),
            behind_tls: self.truth("behind_tls"),
            trust_forwarded_for: self.truth("trust_forwarded_for"),
        }
    }

    fn stated(&self, key: &str) -> (String, String) {
        let (value, origin) = self.values.get(key).cloned().unwrap_or_default();
        (value.trim().to_owned(), format!("{origin}: `{key}`"))
    }

    fn text(&mut self, key: &str) -> String {
        let (value, place) = self.stated(key);
        if value.chars().any(char::is_control) {
            self.faults.push(format!("{place} has control characters; write one line"));
        }
        value
    }

    fn truth(&mut self, key: &str) -> bool {
        let (value, place) = self.stated(key);
        if value != "true" && value != "false" {
            self.faults.push(format!("{place} is `{value}`; write true or false"));
        }
        value == "true"
    }

    fn whole(&mut self, key: &str) -> u64 {
        let (value, place) = self.stated(key);
        let kind = SETTINGS.iter().find(|setting| setting.key == key).map(|setting| &setting.kind);
        let Some(&Kind::Whole(low, high, unit)) = kind else { return 0 };
        let number = value.replace('_', "").parse().ok();
        number.filter(|number| (low..=high).contains(number)).unwrap_or_else(|| {
            let range = format!("{low} to {high} {unit}");
            self.faults.push(format!("{place} is `{value}`; write a whole number from {range}"));
            low
        })
    }

    /// A number whose range fits; the table says so.
    fn small(&mut self, key: &str) -> u32 {
        u32::try_from(self.whole(key)).unwrap_or(u32::MAX)
    }

    fn names(&mut self, key: &str) -> Vec<String> {
        let (value, place) = self.stated(key);
        let names = value.split(',').map(|name| name.trim().to_owned());
        let names: Vec<String> = names.filter(|name| !name.is_empty()).collect();
        if names.is_empty() {
            self.faults.push(format!("{place} is empty; name at least one"));
        }
        names
    }

    fn address(&mut self, key: &str) -> SocketAddr {
        let (value, place) = self.stated(key);
        value.parse().unwrap_or_else(|_| {
            self.faults.push(format!(
                "{place} is `{value}`; write an address with a port, for example 127.0.0.1:8317"
            ));
            SocketAddr::from(([127, 0, 0, 1], 0))
        })
    }
}

/// A value as the file would have it.
fn written(kind: &Kind, value: &str) -> String {
    let quoted = |text: &str| format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""));
    match kind {
        Kind::Truth | Kind::Whole(..) => value.to_owned(),
        Kind::Names => {
            let names: Vec<String> = value.split(',').map(|name| quoted(name.trim())).collect();
            format!("[{}]", names.join(", "))
        }
        Kind::Text | Kind::Address | Kind::Folder => quoted(value),
    }
}

impl std::fmt::Display for Origin {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Default => out.write_str("the defaults"),
            Self::File { path, line } => write!(out, "{path}, line {line}"),
            Self::Variable(name) => write!(out, "the environment, {name}"),
            Self::Flag => out.write_str("the command line"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources() -> ConfigurationSources {
        let mut sources = ConfigurationSources::default();
        sources.set_default_folder("/data".to_owned());
        sources
    }

    #[test]
    fn the_defaults_make_a_configuration() {
        let configuration = sources().finish().expect("defaults are sound");
        assert!(configuration.listen.ip().is_loopback());
        assert_eq!(configuration.ledger, PathBuf::from("/data/ledger.sqlite"));
    }

    #[test]
    fn flags_rule_over_variables_and_these_over_the_file() {
        let mut sources = sources();
        sources.take_file("workers = 3\npublic_page = false\nink_sets = [\"five\"]", "a.toml");
        let variable = ("INKFATHOM_WORKERS".to_owned(), "4".to_owned());
        sources.take_variables([variable, ("HOME".to_owned(), "x".to_owned())]);
        sources.take_flag("studio_name", "Harbour \"Light\"");
        let printed = sources.printed();
        assert!(printed.contains("# from the environment, INKFATHOM_WORKERS\nworkers = 4\n"));
        assert!(printed.contains("# from a.toml, line 2\npublic_page = false\n"));
        assert!(printed.contains("studio_name = \"Harbour \\\"Light\\\"\""));
        let configuration = sources.finish().expect("all is sound");
        assert_eq!((configuration.workers, configuration.public_page), (4, false));
    }

    #[test]
    fn what_is_printed_reads_back_as_the_same() {
        let mut again = ConfigurationSources::default();
        again.take_file(&sources().printed(), "printed.toml");
        assert_eq!(again.finish(), sources().finish());
    }

    #[test]
    fn every_fault_of_every_source_is_told_at_once() {
        let mut sources = sources();
        sources.take_file("worker = 3", "a.toml");
        sources.take_variables([("INKFATHOM_PORT".to_owned(), "80".to_owned())]);
        sources.take_flag("workers", "0");
        sources.take_flag("public_page", "perhaps");
        let faults = sources.finish().expect_err("four faults").join("\n");
        for words in [
            "did you mean `workers`",
            "INKFATHOM_PORT",
            "`0`; write a whole number from 1 to 256",
            "`perhaps`",
        ] {
            assert!(faults.contains(words), "{faults}");
        }
    }
}
