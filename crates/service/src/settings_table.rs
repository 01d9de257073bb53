/// A setting of the service: its key in the file, and by it the names of its variable and flag.
pub(crate) struct Setting {
    pub(crate) key: &'static str,
    pub(crate) kind: Kind,
    pub(crate) default: &'static str,
    /// What it decides, for people.
    pub(crate) help: &'static str,
}

/// What a value may be.
pub(crate) enum Kind {
    /// A line of text.
    Text,
    /// `true` or `false`.
    Truth,
    /// A whole number in a range, with its unit.
    Whole(u64, u64, &'static str),
    /// Names or paths, with commas between them.
    Names,
    /// An address with a port.
    Address,
    /// A path.
    Folder,
}

impl Setting {
    /// The variable of the environment that states it.
    pub(crate) fn variable(&self) -> String {
        format!("{VARIABLES}{}", self.key.to_ascii_uppercase())
    }
}

/// How the variables of the environment begin.
pub(crate) const VARIABLES: &str = "INKFATHOM_";

const fn setting(
    key: &'static str,
    kind: Kind,
    default: &'static str,
    help: &'static str,
) -> Setting {
    Setting { key, kind, default, help }
}

/// Every setting. Defaults are our choice, for a studio of a few people with one machine.
#[rustfmt::skip]
pub(crate) const SETTINGS: [Setting; 23] = [
    setting("listen", Kind::Address, "127.0.0.1:8317",
        "address and port; other machines reach the service only behind a server that adds TLS"),
    setting("data_folder", Kind::Folder, "",
        "uploads, and the ledger unless it has a path of its own; in the user's data folder if empty"),
    setting("ledger", Kind::Folder, "",
        "the ledger's file; ledger.sqlite in the data folder if empty"),
    setting("studio_name", Kind::Text, "Print studio", "what pages and quotes call the studio"),
    setting("public_page", Kind::Truth, "true", "whether anybody may upload without a key"),
    setting("public_uploads_per_hour", Kind::Whole(1, 100_000, "uploads"), "60",
        "uploads without a key from one address"),
    setting("public_uploads_at_once", Kind::Whole(1, 10_000, "uploads"), "20",
        "of these, how many may come at once after a pause"),
    setting("public_questions_per_hour", Kind::Whole(1, 10_000_000, "questions"), "6000",
        "questions about uploads by their links, from one address"),
    setting("keep_pictures", Kind::Truth, "false",
        "whether picture files stay after their colours are counted"),
    setting("ink_sets", Kind::Names, "five, nine, eleven",
        "ink sets on offer, built in or as files; the first answers an upload by itself"),
    setting("price_lists", Kind::Names, "demo",
        "price lists, built in or as files; the first prices an upload by itself"),
    setting("most_upload_mib", Kind::Whole(1, 1 << 20, "MiB"), "512", "largest file that is taken"),
    setting("most_megapixels", Kind::Whole(1, 10_000, "megapixels"), "1000",
        "largest picture that is counted"),
    setting("workers", Kind::Whole(1, 256, "processes"), "2",
        "processes that count pictures side by side, each on up to two cores"),
    setting("worker_memory_mib", Kind::Whole(256, 1 << 20, "MiB"), "1024",
        "address space that a picture's process may take"),
    setting("worker_seconds", Kind::Whole(1, 86_400, "seconds"), "120",
        "time that a picture's process may take, by the clock and on processors"),
    setting("client_seconds", Kind::Whole(1, 3600, "seconds"), "20",
        "time that a client may be silent in the middle of a request"),
    setting("least_kib_per_second", Kind::Whole(0, 1 << 20, "KiB a second"), "4",
        "slowest upload that is waited for; 0 waits as long as something comes"),
    setting("idle_seconds", Kind::Whole(1, 3600, "seconds"), "75",
        "time that a connection may be held without a request"),
    setting("most_connections", Kind::Whole(16, 1_000_000, "connections"), "4096",
        "connections held side by side"),
    setting("session_hours", Kind::Whole(1, 8760, "hours"), "12",
        "time after which a browser must show its key again"),
    setting("behind_tls", Kind::Truth, "false",
        "whether a server in front speaks TLS, so that cookies go over nothing else"),
    setting("trust_forwarded_for", Kind::Truth, "false",
        "whether the last address of X-Forwarded-For is the client's; only behind a server that sets it"),
];
