//! Photographs made for this project (fixtures/photos has their generator), by vehicle layout and viewpoint.

use handsel_domain::inspection::Leg;

macro_rules! pictures {
    ($($name:literal),+ $(,)?) => {
        const PICTURES: &[(&str, &[u8])] =
            &[$(($name, include_bytes!(concat!("../../../fixtures/photos/", $name, ".jpg")))),+];
    };
}

pictures![
    "coachbuilt-nearside_front-out",
    "coachbuilt-nearside_rear-out",
    "coachbuilt-rear-out",
    "coachbuilt-offside_rear-out",
    "coachbuilt-offside_front-out",
    "coachbuilt-front-out",
    "coachbuilt-windscreen-out",
    "coachbuilt-nearside_front-back",
    "coachbuilt-nearside_rear-back",
    "coachbuilt-rear-back",
    "coachbuilt-offside_rear-back",
    "coachbuilt-offside_front-back",
    "coachbuilt-front-back",
    "panel_van-nearside_front-out",
    "panel_van-nearside_rear-out",
    "panel_van-rear-out",
    "panel_van-offside_rear-out",
    "panel_van-offside_front-out",
    "panel_van-front-out",
    "integrated-nearside_front-out",
    "integrated-nearside_rear-out",
    "integrated-rear-out",
    "integrated-offside_rear-out",
    "integrated-offside_front-out",
    "integrated-front-out",
    "kitchen-out",
    "kitchen-back-shattered",
    "cab_dash-out",
    "cab_dash-back",
];

/// The picture of a name, and the name as it is written here.
pub(super) fn named(name: &str) -> Option<(&'static str, &'static [u8])> {
    PICTURES.iter().find(|(n, _)| *n == name).copied()
}

/// The name of what a viewpoint of a layout shows on one leg. A return without a picture of its own shows the
/// departure's vehicle unchanged.
pub(super) fn of(layout: &str, viewpoint: &str, leg: Leg, marked: bool) -> Option<&'static str> {
    let inside = ["kitchen", "cab_dash"].contains(&viewpoint);
    let stem = if inside { viewpoint.to_owned() } else { format!("{layout}-{viewpoint}") };
    let back = (leg == Leg::Return && marked).then(|| named(&format!("{stem}-back"))).flatten();
    back.or_else(|| named(&format!("{stem}-out"))).map(|(name, _)| name)
}
