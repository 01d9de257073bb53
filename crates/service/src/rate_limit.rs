use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use crate::{Problem, ProblemClass};

/// A bucket of tokens for each address: each request takes one, and they come back at a steady
/// rate.
pub(crate) struct RateLimit {
    /// Requests at once, after a pause.
    burst: f64,
    per_second: f64,
    buckets: Mutex<HashMap<IpAddr, Bucket>>,
}

#[derive(Clone, Copy)]
struct Bucket {
    tokens: f64,
    filled: Instant,
}

/// Addresses that are remembered: about 3 MB. Beyond that full buckets are forgotten, and where none
/// is full, strangers wait. Our choice.
const MOST_ADDRESSES: usize = 1 << 15;

impl RateLimit {
    /// So many requests an hour, of which `burst` may come at once.
    pub(crate) fn per_hour(requests: u32, burst: u32) -> Self {
        Self {
            burst: f64::from(burst.clamp(1, requests.max(1))),
            per_second: f64::from(requests) / 3600.0,
            buckets: Mutex::new(HashMap::new()),
        }
    }

    /// Takes a token.
    pub(crate) fn take(&self, from: IpAddr) -> Result<(), Problem> {
        if self.take_at(network(from), Instant::now()) {
            return Ok(());
        }
        let wait = (1.0 / self.per_second).ceil();
        Err(Problem::new(
            ProblemClass::TooMany,
            format!("too many requests from this address; one more is taken every {wait} seconds"),
        ))
    }

    fn take_at(&self, from: IpAddr, now: Instant) -> bool {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        if buckets.len() >= MOST_ADDRESSES && !buckets.contains_key(&from) {
            buckets.retain(|_, bucket| self.tokens(bucket, now) < self.burst);
            if buckets.len() >= MOST_ADDRESSES {
                return false;
            }
        }
        let full = Bucket { tokens: self.burst, filled: now };
        let bucket = buckets.entry(from).or_insert(full);
        let tokens = self.tokens(bucket, now);
        let taken = tokens >= 1.0;
        *bucket = Bucket { tokens: if taken { tokens - 1.0 } else { tokens }, filled: now };
        taken
    }

    fn tokens(&self, bucket: &Bucket, now: Instant) -> f64 {
        let since = now.saturating_duration_since(bucket.filled).as_secs_f64();
        (bucket.tokens + since * self.per_second).min(self.burst)
    }
}

/// One customer has a whole /64 of IPv6 addresses (RFC 6177).
fn network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V6(six) => match six.to_ipv4_mapped() {
            Some(four) => IpAddr::V4(four),
            None => IpAddr::V6((u128::from(six) >> 64 << 64).into()),
        },
        four @ IpAddr::V4(_) => four,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_burst_is_taken_and_then_one_at_a_time() {
        let limit = RateLimit::per_hour(3600, 2);
        let (home, now) = (IpAddr::from([127, 0, 0, 1]), Instant::now());
        let later = |milliseconds| now + Duration::from_millis(milliseconds);
        assert!(limit.take_at(home, now) && limit.take_at(home, now));
        assert!(!limit.take_at(home, later(500)));
        assert!(limit.take_at(home, later(1100)));
        assert!(!limit.take_at(home, later(1200)));
        assert!(limit.take_at(IpAddr::from([127, 0, 0, 2]), later(1200)));
    }

    #[test]
    fn neighbours_in_a_network_of_ipv6_share_a_bucket() {
        let one: IpAddr = "2001:db8::1".parse().expect("an address");
        let other: IpAddr = "2001:db8::2".parse().expect("an address");
        assert_eq!(network(one), network(other));
        assert_eq!(
            network("::ffff:10.0.0.1".parse().expect("an address")),
            IpAddr::from([10, 0, 0, 1])
        );
    }
}
