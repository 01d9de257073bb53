use crate::{Ink, InkSet, InkSetError, PrintMode, Substrate, nearest_name};

impl InkSet {
    /// The substrate of a name, or the set's default one.
    ///
    /// # Errors
    ///
    /// [`InkSetError::UnknownName`] with the nearest and all known names.
    pub fn substrate(&self, name: Option<&str>) -> Result<&Substrate, InkSetError> {
        let named = |substrate: &'_ Substrate| substrate.name.clone();
        self.one_of("a substrate", &self.substrates, named, name)
    }

    /// The print mode of a name, or the set's default one.
    ///
    /// # Errors
    ///
    /// [`InkSetError::UnknownName`] with the nearest and all known names.
    pub fn print_mode(&self, name: Option<&str>) -> Result<&PrintMode, InkSetError> {
        let named = |mode: &'_ PrintMode| mode.name.clone();
        self.one_of("a print mode", &self.print_modes, named, name)
    }

    /// The ink of a name.
    ///
    /// # Errors
    ///
    /// [`InkSetError::UnknownName`] with the nearest and all known names.
    pub fn ink(&self, name: &str) -> Result<&Ink, InkSetError> {
        let named = |ink: &'_ Ink| ink.name.clone();
        self.one_of("an ink", &self.inks, named, Some(name))
    }

    /// The part of a name; the first without one.
    fn one_of<'set, T>(
        &self,
        what: &'static str,
        parts: &'set [T],
        named: impl Fn(&T) -> String,
        wanted: Option<&str>,
    ) -> Result<&'set T, InkSetError> {
        let is_wanted = |part: &&T| wanted.is_none_or(|wanted| wanted == named(part));
        parts.iter().find(is_wanted).ok_or_else(|| {
            let wanted = wanted.unwrap_or_default().to_owned();
            let known: Vec<String> = parts.iter().map(&named).collect();
            let nearest = nearest_name(&wanted, known.iter().map(String::as_str));
            InkSetError::UnknownName {
                what,
                nearest: nearest.map(str::to_owned),
                set: self.name.clone(),
                wanted,
                known,
            }
        })
    }
}
