//! Colours of a screen (sRGB) out of the colours a camera wrote.

use image::RgbImage;
use moxcms::{ColorProfile, DataColorSpace, Layout, TransformExecutor, TransformOptions};

/// Levels that any profile which differs from a screen's moves by more than one step.
const PROBE: [u8; 24] =
    [255, 0, 0, 0, 255, 0, 0, 0, 255, 128, 128, 128, 200, 100, 50, 50, 200, 100, 100, 50, 200, 30, 30, 30];

/// Brings the pixels to the colours of a screen. A profile that cannot be read, or is for other than red, green and
/// blue, is taken for a screen's: the picture is shown as its levels are.
pub(crate) fn to_screen(image: &mut RgbImage, profile: &[u8]) {
    let Ok(profile) = ColorProfile::new_from_slice(profile) else { return };
    if profile.color_space != DataColorSpace::Rgb {
        return;
    }
    let screen = ColorProfile::new_srgb();
    let Ok(change) = profile.create_transform_8bit(Layout::Rgb, &screen, Layout::Rgb, TransformOptions::default())
    else {
        return;
    };
    let mut probed = [0; 24];
    let differs = change.transform(&PROBE, &mut probed).is_ok()
        && PROBE.iter().zip(&probed).any(|(before, after)| before.abs_diff(*after) > 1);
    if differs {
        rows(image, change.as_ref());
    }
}

fn rows(image: &mut RgbImage, change: &(dyn TransformExecutor<u8> + Send + Sync)) {
    let row = usize::try_from(image.width()).map_or(0, |width| width * 3);
    if row == 0 {
        return;
    }
    let mut before = vec![0; row];
    for pixels in image.chunks_exact_mut(row) {
        before.copy_from_slice(pixels);
        // Rows have the same length on both sides, which is all that can be wrong; such a row stays as it was.
        if change.transform(&before, pixels).is_err() {
            pixels.copy_from_slice(&before);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    #[test]
    fn a_wide_red_becomes_a_screens_red() {
        let wide = ColorProfile::new_display_p3().encode().unwrap();
        let mut image = RgbImage::from_pixel(4, 2, Rgb([200, 100, 100]));
        to_screen(&mut image, &wide);
        let [red, green, blue] = image.get_pixel(0, 0).0;
        assert!(red > 205 && green < 97 && blue < 99, "{red} {green} {blue}");
    }

    #[test]
    fn a_screens_own_profile_and_nonsense_change_nothing() {
        let screen = ColorProfile::new_srgb().encode().unwrap();
        for profile in [screen.as_slice(), b"nonsense", &[]] {
            let mut image = RgbImage::from_pixel(4, 2, Rgb([200, 100, 101]));
            to_screen(&mut image, profile);
            assert_eq!(image.get_pixel(3, 1).0, [200, 100, 101]);
        }
    }
}
