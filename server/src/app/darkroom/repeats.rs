//! Whether a photograph is an earlier one again: the departure's of the same hire, or one of another vehicle.
//!
//! Alike are the same bytes, or fingerprints within [`Fingerprint::SAME`] bits of each other in both halves. That is what
//! copies of one file come to (another size, another compression); two photographs of one vehicle, or of two alike,
//! taken by hand lie many times further apart.

use crate::app::Refusal;
use crate::store::record::{Fact, Sighted};
use crate::store::{Tx, fact, repeat};
use handsel_domain::ids::PhotoId;
use handsel_domain::inspection::{Leg, Repeat, RepeatHow, RepeatOf};
use handsel_imaging::Fingerprint;

pub(super) async fn find(tx: &Tx, photo: PhotoId, fact: &Fact) -> Result<(), Refusal> {
    let own: Fingerprint = fact.fingerprint.parse().map_err(Refusal::internal)?;
    let mut alike = vec![fact.sha256.clone()];
    for other in fact::near(tx, &fact.fingerprint).await? {
        let fingerprint: Fingerprint = other.fingerprint.parse().map_err(Refusal::internal)?;
        if other.sha256 != fact.sha256 && own.same(fingerprint) {
            alike.push(other.sha256);
        }
    }
    let seen = repeat::sighted(tx, alike).await?;
    let Some(own) = seen.iter().find(|s| s.id == photo) else { return Ok(()) };
    for other in seen.iter().filter(|s| s.id != photo) {
        // Whichever came later repeats the other, whichever is developed first.
        let own_is_later = (own.received_at, own.id) > (other.received_at, other.id);
        let (later, earlier) = if own_is_later { (own, other) } else { (other, own) };
        if let Some(whose) = whose(later, earlier) {
            let same = later.sha256 == earlier.sha256;
            let how = if same { RepeatHow::SameBytes } else { RepeatHow::LooksTheSame };
            repeat::keep(tx, later.id, Repeat { photo: earlier.id, whose, how }).await?;
        }
    }
    Ok(())
}

fn whose(later: &Sighted, earlier: &Sighted) -> Option<RepeatOf> {
    if later.hire == earlier.hire && later.leg == Leg::Return && earlier.leg == Leg::Departure {
        Some(RepeatOf::Departure)
    } else {
        (later.vehicle != earlier.vehicle).then_some(RepeatOf::OtherVehicle)
    }
}
