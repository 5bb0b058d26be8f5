//! The structural similarity index, with the settings of its first description (2004): Gaussian windows of 11 x 11
//! with a standard deviation of 1.5, K1 = 0.01, K2 = 0.03, a range of 255, averaged over the windows that lie wholly
//! inside the picture.

use crate::num::d;
use crate::plane::Plane;

const RADIUS: usize = 5;
const SIGMA: f32 = 1.5;
const C1: f32 = (0.01 * 255.0) * (0.01 * 255.0);
const C2: f32 = (0.03 * 255.0) * (0.03 * 255.0);
/// Taken off both before squares are built: variances are differences of large numbers otherwise.
const MIDDLE: f32 = 128.0;

/// Mean structural similarity of two planes of grey levels 0 to 255, -1 to 1; nothing where the sizes differ or a
/// side is shorter than the window.
#[must_use]
pub fn ssim(a: &Plane, b: &Plane) -> Option<f64> {
    let map = ssim_map(a, b)?;
    let inside = |place: usize, length: usize| place >= RADIUS && place + RADIUS < length;
    let (mut sum, mut count) = (0.0, 0_usize);
    for (_, row) in map.rows().enumerate().filter(|(y, _)| inside(*y, map.height())) {
        for (_, value) in row.iter().enumerate().filter(|(x, _)| inside(*x, map.width())) {
            sum += f64::from(*value);
            count += 1;
        }
    }
    Some(sum / d(count))
}

/// The index of each window by its middle; at the border, of windows that mirror the picture.
fn ssim_map(a: &Plane, b: &Plane) -> Option<Plane> {
    let same = a.width() == b.width() && a.height() == b.height();
    if !same || a.width().min(a.height()) <= 2 * RADIUS {
        return None;
    }
    let blur = |plane: &Plane| plane.gaussian_to(SIGMA, RADIUS);
    let (a, b) = (a.map(|v| v - MIDDLE), b.map(|v| v - MIDDLE));
    let (mean_a, mean_b) = (blur(&a), blur(&b));
    let variance = |square: &Plane, mean: &Plane| square.with(mean, |s, m| s - m * m);
    let var_a = variance(&blur(&a.map(|v| v * v)), &mean_a);
    let var_b = variance(&blur(&b.map(|v| v * v)), &mean_b);
    let both = blur(&a.with(&b, |x, y| x * y));
    let covariance = both.with(&mean_a.with(&mean_b, |x, y| x * y), |s, m| s - m);
    let light = mean_a.with(&mean_b, |x, y| {
        let (x, y) = (x + MIDDLE, y + MIDDLE);
        (2.0 * x * y + C1) / (x * x + y * y + C1)
    });
    let structure = covariance.with(&var_a.with(&var_b, |x, y| x + y), |c, v| (2.0 * c + C2) / (v + C2));
    Some(light.with(&structure, |l, s| l * s))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::f;

    #[test]
    fn sizes_must_agree_and_hold_a_window() {
        let plane = |w, h| Plane::from_fn(w, h, |x, y| f(x * y % 251));
        assert_eq!(ssim(&plane(32, 32), &plane(32, 31)), None);
        assert_eq!(ssim(&plane(32, 10), &plane(32, 10)), None);
        assert_eq!(ssim(&plane(32, 32), &plane(32, 32)), Some(1.0));
    }
}
