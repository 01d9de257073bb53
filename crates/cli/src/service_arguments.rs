use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use ledger::Role;

/// Where the service's configuration comes from.
#[derive(Debug, Args)]
pub(crate) struct ConfigurationArguments {
    /// Configuration file; `--print-configuration` of `serve` prints one with every setting
    #[arg(long, value_name = "PATH")]
    pub(crate) configuration: Option<PathBuf>,
    /// Folder of uploads, and of the ledger unless that has a path of its own
    #[arg(long, value_name = "PATH")]
    pub(crate) data_folder: Option<PathBuf>,
    /// Any setting, over file and environment
    #[arg(long = "set", value_name = "SETTING=VALUE")]
    pub(crate) settings: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct ServeArguments {
    #[command(flatten)]
    pub(crate) configuration: ConfigurationArguments,
    /// Address and port to listen on; port 0 takes a free one
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub(crate) listen: Option<SocketAddr>,
    /// Print the effective configuration with where each value comes from, and end
    #[arg(long)]
    pub(crate) print_configuration: bool,
}

#[derive(Debug, Subcommand)]
pub(crate) enum KeysCommand {
    /// Make a key and print it, this once
    #[command(after_help = "Example: inkfathom keys make --role shop --label \"web shop\"")]
    Make {
        /// What the key allows
        #[arg(long, value_enum)]
        role: KeyRole,
        /// What people call it
        #[arg(long, value_name = "TEXT")]
        label: String,
        #[command(flatten)]
        configuration: ConfigurationArguments,
    },
    /// List the keys, without the keys themselves
    List {
        #[command(flatten)]
        configuration: ConfigurationArguments,
    },
    /// Make a key and its sessions void, at once
    Revoke {
        /// Number of the key, as `keys list` shows it
        #[arg(value_name = "NUMBER")]
        number: i64,
        #[command(flatten)]
        configuration: ConfigurationArguments,
    },
}

/// What a key allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum KeyRole {
    /// Uploads, and answers about its own ones, without what the studio pays
    Shop,
    /// Everything
    Studio,
}

impl From<KeyRole> for Role {
    fn from(role: KeyRole) -> Self {
        match role {
            KeyRole::Shop => Self::Shop,
            KeyRole::Studio => Self::Studio,
        }
    }
}

#[derive(Debug, Args)]
pub(crate) struct BackupArguments {
    /// The copy; it must not exist yet
    #[arg(value_name = "PATH")]
    pub(crate) path: PathBuf,
    #[command(flatten)]
    pub(crate) configuration: ConfigurationArguments,
}

/// What the service tells the process that counts an upload.
#[derive(Debug, Args)]
pub(crate) struct CountUploadArguments {
    #[arg(long)]
    pub(crate) most_pixels: u64,
    #[arg(long)]
    pub(crate) memory: u64,
    #[arg(long)]
    pub(crate) seconds: u64,
    pub(crate) picture: PathBuf,
}
