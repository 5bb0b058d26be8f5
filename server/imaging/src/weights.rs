//! What the score makes of each thing told about a place. Written by `tests/bench/fit-pointing`, which says on
//! what: not by hand.

/// Added to the weighed sum.
pub(crate) const BIAS: f64 = -8.050716;

/// In the order of [`crate::places::FEATURES`].
pub(crate) const WEIGHTS: [f64; 26] = [
    -1.215645, // bar
    0.726033,  // inside
    0.689550,  // peak
    0.217527,  // area
    -0.461040, // ring
    -0.808542, // ring_top
    -0.525909, // plain
    0.656996,  // bipolar
    0.112093,  // brightness
    0.184208,  // strength
    0.287279,  // tone
    0.678017,  // tone_before
    -2.649034, // steep
    -0.365571, // agreement
    -0.057796, // known
    -1.173083, // gone
    0.802240,  // fine
    0.536586,  // middle
    0.220951,  // coarse
    -0.571991, // fill
    -1.665010, // long
    -0.330739, // side
    3.394341,  // frame
    2.444868,  // reliable
    0.281381,  // glass
    -0.889200, // crowd
];
