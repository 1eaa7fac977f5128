//! How often one address may ask: a bucket of requests that fills again at a steady rate.

use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// At most so many addresses are remembered; a shop has fewer phones.
const ADDRESSES: usize = 4096;

/// Buckets by address.
#[derive(Debug)]
pub(super) struct Rate {
    most: f64,
    per_s: f64,
    buckets: Mutex<HashMap<IpAddr, (f64, Instant)>>,
}

impl Rate {
    /// `most` requests at once, and `per_s` a second in the long run.
    pub(super) fn new(most: u32, per_s: u32) -> Self {
        Self {
            most: f64::from(most),
            per_s: f64::from(per_s),
            buckets: Mutex::default(),
        }
    }

    /// Whether one more is allowed at this moment; counts it.
    pub(super) fn allows(&self, address: IpAddr, now: Instant) -> bool {
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let filled = |(left, since): (f64, Instant)| {
            let waited = now.saturating_duration_since(since).as_secs_f64();
            (left + waited * self.per_s).min(self.most)
        };
        if buckets.len() >= ADDRESSES {
            // A full bucket is as good as none.
            buckets.retain(|_, bucket| filled(*bucket) < self.most);
        }
        let left = match buckets.get(&address) {
            Some(bucket) => filled(*bucket),
            // Rather no newcomer than memory without end.
            None if buckets.len() >= ADDRESSES => return false,
            None => self.most,
        };
        let allowed = left >= 1.0;
        let left = if allowed { left - 1.0 } else { left };
        buckets.insert(address, (left, now));
        allowed
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn a_burst_is_allowed_and_then_the_steady_rate() {
        let rate = Rate::new(3, 2);
        let (one, other) = ([192, 168, 1, 5].into(), [192, 168, 1, 6].into());
        let start = Instant::now();
        let now: Vec<bool> = (0..5).map(|_| rate.allows(one, start)).collect();
        assert_eq!(now, [true, true, true, false, false]);
        assert!(rate.allows(other, start));
        let later = start + Duration::from_millis(500);
        assert!(rate.allows(one, later) && !rate.allows(one, later));
    }

    #[test]
    fn no_more_addresses_are_remembered_and_those_that_are_go_on() {
        let rate = Rate::new(2, 1);
        let now = Instant::now();
        for address in 0..ADDRESSES as u32 {
            assert!(rate.allows(IpAddr::from(address.to_be_bytes()), now));
        }
        let (known, other) = ([0, 0, 0, 1].into(), [192, 168, 1, 5].into());
        assert!(!rate.allows(other, now) && rate.allows(known, now));
        assert_eq!(rate.buckets.lock().unwrap().len(), ADDRESSES);
        // All are full again, and so forgotten.
        assert!(rate.allows(other, now + Duration::from_secs(3)));
    }
}
