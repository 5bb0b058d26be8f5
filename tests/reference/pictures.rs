//! Sources: structural similarity by scikit-image 0.26.0 with the settings of the index's first description (2004);
//! Laplacian variance by scipy 1.17.1 and OpenCV 5.0.0; perceptual hashes by ImageHash 4.3.2 on Pillow 13.0.0. All
//! computed on three grey pictures that come with scikit-image and on three drawn by formula. Orientations by the
//! manual page of a JPEG orientation tool and libvips' documentation, and by `exif_transpose` of Pillow 13.0.0.
//!
//! The pictures are not the project's to pass on: `tests/run` takes them out of the package into the folder named by
//! `HANDSEL_REFERENCE_IMAGES`.

use crate::table;
use handsel_imaging::quality::variance_of_laplacian;
use handsel_imaging::similarity::{Fingerprint, fingerprint_of_gray, gradient_bits};
use handsel_imaging::{Plane, ssim};
use image::{GrayImage, Luma};
use sha2::{Digest, Sha256};
use std::path::Path;

/// A picture of the tables; nothing where the pictures were not fetched, which is a failure where CI runs.
fn picture(name: &str) -> Option<GrayImage> {
    let formula = |value: fn(u32, u32) -> u32| {
        // Row i, column j.
        GrayImage::from_fn(64, 64, |j, i| Luma([u8::try_from(value(i, j) % 256).unwrap()]))
    };
    match name {
        "synthetic_a" => Some(formula(|i, j| 7 * i + 13 * j + (i * j) % 31)),
        "synthetic_b" => Some(formula(|i, j| (i * i + 3 * j * j + 5 * i * j) / 16)),
        "synthetic_ramp" => Some(formula(|i, j| 2 * i + 2 * j)),
        _ => {
            let Ok(folder) = std::env::var("HANDSEL_REFERENCE_IMAGES") else {
                assert!(std::env::var("CI").is_err(), "HANDSEL_REFERENCE_IMAGES is not set: tests/run sets it");
                return None;
            };
            let file = Path::new(&folder).join(format!("{name}.png"));
            let bytes = std::fs::read(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
            Some(image::load_from_memory(&bytes).unwrap().to_luma8())
        }
    }
}

fn level(of: impl Fn(u32, u32) -> u32, like: &GrayImage) -> GrayImage {
    GrayImage::from_fn(like.width(), like.height(), |x, y| Luma([u8::try_from(of(x, y)).unwrap()]))
}

/// The transforms of the tables, exact in whole grey levels.
fn transformed(picture: &GrayImage, how: &str) -> GrayImage {
    let p = |x: u32, y: u32| u32::from(picture.get_pixel(x, y)[0]);
    let (width, height) = picture.dimensions();
    match how {
        "identity" | "original" => picture.clone(),
        "plus20_clip" => level(|x, y| (p(x, y) + 20).min(255), picture),
        "invert" => level(|x, y| 255 - p(x, y), picture),
        "contrast_half" => level(|x, y| p(x, y) / 2, picture),
        "checker_pm10" => {
            level(|x, y| if (x + y) % 2 == 0 { (p(x, y) + 10).min(255) } else { p(x, y).saturating_sub(10) }, picture)
        }
        "shift_right_1" => level(|x, y| p(x.saturating_sub(1), y), picture),
        "box3_floor" => {
            let near = |v: u32, most: u32| [v.saturating_sub(1), v, (v + 1).min(most - 1)];
            level(
                |x, y| near(y, height).iter().flat_map(|v| near(x, width).map(|u| p(u, *v))).sum::<u32>() / 9,
                picture,
            )
        }
        "black_square_64" => level(
            |x, y| {
                let black = (width / 4..width / 4 + 64).contains(&x) && (height / 4..height / 4 + 64).contains(&y);
                if black { 0 } else { p(x, y) }
            },
            picture,
        ),
        "mirror" => image::imageops::flip_horizontal(picture),
        other => panic!("no transform `{other}`"),
    }
}

fn digest(picture: &GrayImage) -> String {
    Sha256::digest(picture.as_raw()).iter().map(|b| format!("{b:02x}")).collect()
}

#[test]
fn structural_similarity_is_that_of_the_paper() {
    let mut seen = 0;
    for row in table("image_ssim.csv") {
        let Some(original) = picture(&row["image"]) else { continue };
        let changed = transformed(&original, &row["transform"]);
        let what = format!("{} {}", row["image"], row["transform"]);
        assert_eq!(digest(&original), row["sha256_raw_gray_original"], "{what}: another picture");
        assert_eq!(digest(&changed), row["sha256_raw_gray_transformed"], "{what}: another transform");
        let ours = ssim(&Plane::of_gray(&original), &Plane::of_gray(&changed)).unwrap();
        let theirs: f64 = row["ssim_paper"].parse().unwrap();
        assert!((ours - theirs).abs() < 1e-4, "{what}: {ours} instead of {theirs}");
        seen += 1;
    }
    assert!(seen >= 21, "only {seen} rows");
}

#[test]
fn the_variance_of_the_laplacian_is_that_of_two_libraries() {
    let mut seen = 0;
    for row in table("image_blur_laplacian.csv") {
        let Some(sharp) = picture(&row["image"]) else { continue };
        let sigma: f32 = row["gaussian_sigma_px"].parse().unwrap();
        let plane = Plane::of_gray(&sharp);
        // Cut off at four sigmas, as the table was made.
        let radius = (0..).find(|r| f64::from(*r) + 0.5 > f64::from(sigma) * 4.0).unwrap();
        let soft = if sigma > 0.0 { plane.gaussian_to(sigma, usize::try_from(radius).unwrap()) } else { plane };
        let ours = variance_of_laplacian(&soft);
        let theirs: f64 = row["var_laplacian_float_reflect101"].parse().unwrap();
        let off = (ours - theirs).abs() / theirs;
        assert!(off < 1e-3, "{} sigma {sigma}: {ours} instead of {theirs}", row["image"]);
        seen += 1;
    }
    assert!(seen >= 7, "only {seen} rows");
}

#[test]
fn fingerprints_are_the_published_hashes() {
    let mut seen = 0;
    for row in table("image_phash.csv") {
        // Copies by other programs' resizing and compression cannot be made to the bit here. A ramp has no
        // frequencies but noise, says the table's own README.
        let ours_to_make = ["original", "plus20_clip", "mirror"].contains(&row["variant"].as_str());
        if !ours_to_make || row["image"] == "synthetic_ramp" {
            continue;
        }
        let Some(original) = picture(&row["image"]) else { continue };
        let found = fingerprint_of_gray(&transformed(&original, &row["variant"]));
        let bits = |column: &str| u64::from_str_radix(&row[column], 16).unwrap();
        let published = Fingerprint { frequencies: bits("phash_hex"), gradients: bits("dhash_hex") };
        // Of two frequencies as good as equal, another order of adding up may put the other first.
        let (frequencies, gradients) = found.distance(published);
        assert!(frequencies <= 2 && gradients == 0, "{} {}: {found} {published}", row["image"], row["variant"]);
        seen += 1;
    }
    assert!(seen >= 3, "only {seen} rows");
}

#[test]
fn the_bits_of_a_resized_picture_are_exactly_the_published_ones() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/reference/image_phash_intermediate.json");
    let table: serde_json::Value = serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap();
    for (name, entry) in table["images"].as_object().unwrap() {
        let rows = entry["dhash_9x8_lanczos_rows"].as_array().unwrap();
        let levels = GrayImage::from_fn(9, 8, |x, y| {
            let level = rows[usize::try_from(y).unwrap()][usize::try_from(x).unwrap()].as_u64().unwrap();
            Luma([u8::try_from(level).unwrap()])
        });
        let bits = gradient_bits(&Plane::of_gray(&levels));
        assert_eq!(format!("{bits:016x}"), entry["dhash"].as_str().unwrap(), "{name}");
    }
}

/// A JPEG of blocks of 16 x 16 pixels, one for each grey level, with an EXIF block that says how the camera was held.
fn held(rows: &[Vec<u8>], orientation: u8) -> Vec<u8> {
    let (width, height) = (u32::try_from(rows[0].len()).unwrap(), u32::try_from(rows.len()).unwrap());
    let picture = GrayImage::from_fn(width * 16, height * 16, |x, y| {
        Luma([rows[usize::try_from(y / 16).unwrap()][usize::try_from(x / 16).unwrap()]])
    });
    let mut jpeg = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
    let jpeg = jpeg.into_inner();
    let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let length = u16::try_from(exif.len() + 2).unwrap();
    [&jpeg[..2], &[0xFF, 0xE1], &length.to_be_bytes(), &exif, &jpeg[2..]].concat()
}

#[test]
fn pictures_come_upright_for_all_eight_orientations() {
    let levels = |text: &str| -> Vec<Vec<u8>> {
        text.split('/').map(|row| row.split_whitespace().map(|v| v.parse().unwrap()).collect()).collect()
    };
    let rows = table("image_exif_orientation.csv");
    assert_eq!(rows.len(), 8);
    for row in rows {
        let orientation = row["orientation_tag_0x0112"].parse().unwrap();
        let jpeg = held(&levels(&row["stored_rows"]), orientation);
        let upright = handsel_imaging::upright(&jpeg, &handsel_imaging::Limits::default(), 4096).unwrap();
        let shown = levels(&row["display_rows"]);
        assert_eq!(upright.width(), 16 * row["display_width_px"].parse::<u32>().unwrap(), "orientation {orientation}");
        assert_eq!(
            upright.height(),
            16 * row["display_height_px"].parse::<u32>().unwrap(),
            "orientation {orientation}"
        );
        for (y, line) in (0..).zip(&shown) {
            for (x, level) in (0..).zip(line) {
                let found = upright.get_pixel(x * 16 + 8, y * 16 + 8)[0];
                assert!(
                    found.abs_diff(*level) <= 3,
                    "orientation {orientation}: {found} instead of {level} at {x}, {y}"
                );
            }
        }
    }
}
