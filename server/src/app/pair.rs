//! A return's photograph and the departure's of the same viewpoint.

use super::Refusal;
use crate::store::record::{InspectionHead, PhotoFile, Photograph};
use crate::store::{Tx, inspection, photo};
use handsel_domain::ids::PhotoId;
use handsel_domain::inspection::{Leg, Mark, PhotoSubject};
use handsel_imaging::Known;

/// Millimetres that the longest edge of a photograph is taken to show. Viewpoints take in two to seven metres; the least
/// of it makes known damage cover most, and what is not pointed at for that reason is next to it.
const SHOWN_MM: f64 = 2000.0;
/// Shares of the longest edge: what a thumb misplaces a mark by, and the most that one may cover.
const MISPLACED: f64 = 0.02;
const MOST: f64 = 0.25;

#[derive(Clone, Debug)]
pub(super) struct Pair {
    /// The last that was taken before the hirer had the vehicle.
    pub(super) before: Photograph,
    /// Damage of the register, as the departure was signed with it, that the viewpoint shows.
    pub(super) known: Vec<Mark>,
}

/// What a photograph is compared with; nothing for one that is not a return's, not of a viewpoint, or the only one.
pub(super) async fn of(tx: &Tx, file: &PhotoFile) -> Result<Option<Pair>, Refusal> {
    let PhotoSubject::Viewpoint { viewpoint } = &file.photo.subject else { return Ok(None) };
    let head = inspection::known(tx, file.inspection).await?;
    let Some(InspectionHead { hire, .. }) = head.filter(|h| h.leg == Leg::Return) else { return Ok(None) };
    let Some(departure) = inspection::of_hire(tx, hire, Leg::Departure).await? else { return Ok(None) };
    let photos = photo::of_inspection(tx, departure.id).await?;
    let of_it = photos.into_iter().filter(|p| p.subject == file.photo.subject && p.arrived_at.is_some());
    let Some(before) = of_it.max_by_key(|p| (p.taken_at, p.received_at, p.id)) else { return Ok(None) };
    let known = departure.register.unwrap_or_default().into_iter().filter(|m| &m.viewpoint == viewpoint).collect();
    Ok(Some(Pair { before, known }))
}

/// Photographs of the return that could not be compared before this one of the departure came.
pub(super) async fn waiting_for(tx: &Tx, file: &PhotoFile) -> Result<Vec<PhotoId>, Refusal> {
    if !matches!(file.photo.subject, PhotoSubject::Viewpoint { .. }) {
        return Ok(Vec::new());
    }
    let Some(head) = inspection::known(tx, file.inspection).await?.filter(|h| h.leg == Leg::Departure) else {
        return Ok(Vec::new());
    };
    let Some(back) = inspection::of_hire(tx, head.hire, Leg::Return).await? else { return Ok(Vec::new()) };
    let photos = photo::of_inspection(tx, back.id).await?.into_iter();
    Ok(photos.filter(|p| p.subject == file.photo.subject && p.arrived_at.is_some()).map(|p| p.id).collect())
}

impl Pair {
    /// Where the departure's photograph shows what is known, in shares of its size.
    pub(super) fn places(&self) -> Vec<Known> {
        let (width, height) = (f64::from(self.before.width), f64::from(self.before.height));
        let longest = width.max(height);
        let place = |mark: &Mark| {
            let reach = (f64::from(mark.size_mm) / SHOWN_MM / 2.0 + MISPLACED).min(MOST);
            let (across, down) = (reach * longest / width, reach * longest / height);
            Known { x: mark.x.approx() - across, y: mark.y.approx() - down, w: 2.0 * across, h: 2.0 * down }
        };
        self.known.iter().map(place).collect()
    }
}
