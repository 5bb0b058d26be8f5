//! What the score makes of each thing told about a place. Written by `tests/bench/fit-pointing`, which says on what: not
//! by hand.

/// Added to the weighed sum.
pub(crate) const BIAS: f64 = -8.570516;

/// In the order of [`crate::places::FEATURES`].
pub(crate) const WEIGHTS: [f64; 26] = [
    -1.295480, // bar
    0.685803,  // inside
    0.688622,  // peak
    0.159845,  // area
    -0.458295, // ring
    -0.945091, // ring_top
    -0.444441, // plain
    0.869546,  // bipolar
    0.221047,  // brightness
    0.203053,  // strength
    0.044807,  // tone
    0.757640,  // tone_before
    -0.939316, // steep
    -0.295037, // agreement
    -0.246716, // known
    -0.911521, // gone
    0.883843,  // fine
    0.521226,  // middle
    0.330480,  // coarse
    -0.215890, // fill
    -1.553782, // long
    -0.335305, // side
    3.942075,  // frame
    2.762639,  // reliable
    0.095807,  // glass
    -0.869132, // crowd
];
