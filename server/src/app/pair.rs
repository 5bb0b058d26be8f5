//! A return's photograph and the departure's of the same viewpoint.

use super::Refusal;
use crate::store::record::{InspectionHead, PhotoFile, Photograph};
use crate::store::{Tx, inspection, photo};
use handsel_domain::inspection::{Leg, PhotoSubject};

#[derive(Clone, Debug)]
pub(super) struct Pair {
    /// The last that was taken before the hirer had the vehicle.
    pub(super) before: Photograph,
}

/// What a photograph is compared with; nothing for one that is not a return's, not of a viewpoint, or the only one.
pub(super) async fn of(tx: &Tx, file: &PhotoFile) -> Result<Option<Pair>, Refusal> {
    if !matches!(file.photo.subject, PhotoSubject::Viewpoint { .. }) {
        return Ok(None);
    }
    let head = inspection::known(tx, file.inspection).await?;
    let Some(InspectionHead { hire, .. }) = head.filter(|h| h.leg == Leg::Return) else { return Ok(None) };
    let Some(departure) = inspection::of_hire(tx, hire, Leg::Departure).await? else { return Ok(None) };
    let photos = photo::of_inspection(tx, departure.id).await?;
    let of_it = photos.into_iter().filter(|p| p.subject == file.photo.subject);
    let Some(before) = of_it.max_by_key(|p| (p.taken_at, p.received_at, p.id)) else { return Ok(None) };
    Ok(Some(Pair { before }))
}
