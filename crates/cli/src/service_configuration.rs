use std::env;
use std::fs;
use std::path::PathBuf;

use service::{Configuration, ConfigurationSources};

use crate::service_arguments::ConfigurationArguments;
use crate::shell_error::ShellError;

impl ConfigurationArguments {
    /// The values of all sources: defaults, file, environment, flags; later ones rule.
    pub(crate) fn sources(&self) -> Result<ConfigurationSources, ShellError> {
        let mut sources = ConfigurationSources::default();
        if let Some(folder) = default_folder() {
            sources.set_default_folder(folder.display().to_string());
        }
        if let Some(path) = &self.configuration {
            let text = fs::read_to_string(path).map_err(|cause| {
                ShellError::UnreadableConfiguration { path: path.clone(), cause }
            })?;
            sources.take_file(&text, &path.display().to_string());
        }
        // What is not Unicode can't be one of ours.
        sources.take_variables(env::vars_os().filter_map(|(name, value)| {
            Some((name.into_string().ok()?, value.into_string().ok()?))
        }));
        for setting in &self.settings {
            let (key, value) = setting.split_once('=').unwrap_or((setting, ""));
            sources.take_flag(key.trim(), value.trim());
        }
        if let Some(folder) = &self.data_folder {
            sources.take_flag("data_folder", &folder.display().to_string());
        }
        Ok(sources)
    }

    /// The checked configuration.
    pub(crate) fn effective(&self) -> Result<Configuration, ShellError> {
        self.sources()?.finish().map_err(ShellError::Configuration)
    }
}

/// The service's folder of this user: in `XDG_DATA_HOME`, or in `.local/share` of the home folder.
fn default_folder() -> Option<PathBuf> {
    let absolute = |name: &str| env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let base =
        absolute("XDG_DATA_HOME").or_else(|| Some(absolute("HOME")?.join(".local/share")))?;
    Some(base.join("inkfathom").join("service"))
}
