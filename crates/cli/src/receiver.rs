use std::str::FromStr;
use std::time::Duration;

use ureq::Agent;

/// Where results are posted to.
#[derive(Clone, Debug)]
pub(crate) struct Receiver {
    address: String,
    agent: Agent,
}

/// Longest time of one posting: a result has some kilobytes, and the next file waits. Our choice.
const PATIENCE: Duration = Duration::from_secs(20);

impl FromStr for Receiver {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let host = text.strip_prefix("http://").or_else(|| text.strip_prefix("https://"));
        if host.is_none_or(|host| host.is_empty() || host.starts_with('/')) {
            return Err(format!("`{text}` is no address; write http://… or https://…"));
        }
        // A result goes where it was sent to and nowhere else.
        let agent = Agent::config_builder()
            .timeout_global(Some(PATIENCE))
            .max_redirects(0)
            .http_status_as_error(false)
            .build();
        Ok(Self { address: text.to_owned(), agent: agent.into() })
    }
}

impl Receiver {
    /// Posts a result. The same result has the same key every time, so that a receiver that was
    /// asked twice, because an answer got lost, can tell.
    ///
    /// # Errors
    ///
    /// Why it was not accepted: no answer, or one outside 200 to 299.
    pub(crate) fn post(&self, name: &str, body: &str, media_type: &str) -> Result<(), String> {
        let key = blake3::hash(&[name.as_bytes(), &[0], body.as_bytes()].concat());
        let sent = self
            .agent
            .post(&self.address)
            .header("Content-Type", media_type)
            .header("Idempotency-Key", key.to_hex().as_str())
            .send(body);
        match sent {
            Ok(answer) if answer.status().is_success() => Ok(()),
            Ok(answer) => Err(format!("{} answered {}", self.address, answer.status())),
            Err(fault) => Err(format!("{}: {fault}", self.address)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_addresses_of_the_web_are_posted_to() {
        assert!("http://127.0.0.1:8080/results".parse::<Receiver>().is_ok());
        for text in ["", "results", "ftp://shop/results", "http://", "https:///results"] {
            assert!(text.parse::<Receiver>().unwrap_err().contains("http://"), "{text}");
        }
    }
}
