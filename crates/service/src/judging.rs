use std::sync::Arc;

use report::Report;

use crate::access::Access;
use crate::answering::report;
use crate::{Problem, Studio, WhatIf};

impl Studio {
    /// The ink on one set or several, each with a verdict on its colours; a comparison where there
    /// are several.
    ///
    /// # Errors
    ///
    /// As [`estimate`](Self::estimate).
    pub async fn judged(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<Report, Problem> {
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| {
            let names = what_if.sets(&studio.settings.ink_sets)?;
            let sets = studio.prepared(&names, &what_if)?;
            let estimates = studio.estimates(&upload, &sets, &what_if.job()?, true)?;
            Ok(report(&upload, &sets, estimates))
        })
        .await
    }
}
