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
    // Oldest first. Each repeats the oldest there is of either kind: a picture sent a hundred times is a hundred repeats of
    // the first, not of each other.
    let seen = repeat::sighted(tx, alike, photo).await?;
    for whose_it_is in [RepeatOf::Departure, RepeatOf::OtherVehicle] {
        for later in &seen {
            let mut older = seen.iter().take_while(|earlier| earlier.id != later.id);
            let first = older.find(|earlier| whose(later, earlier) == Some(whose_it_is));
            // Also what came later and was developed earlier, and so could not know of this one.
            let Some(earlier) = first.filter(|earlier| later.id == photo || earlier.id == photo) else { continue };
            let same = later.sha256 == earlier.sha256;
            let how = if same { RepeatHow::SameBytes } else { RepeatHow::LooksTheSame };
            repeat::keep(tx, later.id, Repeat { photo: earlier.id, whose: whose_it_is, how }).await?;
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
