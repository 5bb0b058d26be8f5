use super::*;
use crate::{Encoding, derivative, encode};
use image::metadata::Orientation;
use image::{DynamicImage, GenericImageView, ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

fn take(bytes: &[u8]) -> Result<Ingested, IngestError> {
    take_as(bytes, None)
}

fn take_as(bytes: &[u8], declared: Option<&str>) -> Result<Ingested, IngestError> {
    let limits = Limits::default();
    ingest(bytes, &look(bytes, &limits, declared)?, &limits)
}

/// Left half red, right half blue.
fn halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([255, 0, 0]) } else { Rgb([0, 0, 255]) })
}

fn written(image: DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn png(width: u32, height: u32) -> Vec<u8> {
    written(halves(width, height).into(), ImageFormat::Png)
}

fn jpeg(width: u32, height: u32) -> Vec<u8> {
    encode(&halves(width, height), Encoding::Jpeg).unwrap()
}

/// Puts an EXIF block with this orientation behind the start of a JPEG.
fn held(orientation: u8, jpeg: &[u8]) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    segment(0xE1, &exif, jpeg)
}

fn segment(marker: u8, content: &[u8], jpeg: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).unwrap();
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, marker]);
    bytes.extend(length.to_be_bytes());
    bytes.extend(content);
    bytes.extend(&jpeg[2..]);
    bytes
}

#[test]
fn the_kind_is_read_from_the_content() {
    for (bytes, media_type) in [
        (png(3, 2), "image/png"),
        (jpeg(3, 2), "image/jpeg"),
        (encode(&halves(3, 2), Encoding::WebP).unwrap(), "image/webp"),
        (written(halves(3, 2).into(), ImageFormat::WebP), "image/webp"),
    ] {
        let found = take(&bytes).unwrap();
        assert_eq!((found.media_type, found.width, found.height), (media_type, 3, 2));
    }
}

#[test]
fn every_depth_and_kind_of_pixel_comes_out_as_colours() {
    let image = DynamicImage::from(halves(40, 20));
    for (image, grey) in [
        (DynamicImage::from(image.to_rgba8()), false),
        (DynamicImage::from(image.to_rgb16()), false),
        (DynamicImage::from(image.to_rgba16()), false),
        (DynamicImage::from(image.to_luma8()), true),
        (DynamicImage::from(image.to_luma16()), true),
        (DynamicImage::from(image.to_luma_alpha8()), true),
    ] {
        let bytes = written(image, ImageFormat::Png);
        let shown = image::load_from_memory(&derivative(&bytes, &Limits::default(), 320, Encoding::Jpeg).unwrap());
        let [red, _, blue] = shown.unwrap().to_rgb8().get_pixel(4, 10).0;
        assert!(if grey { red.abs_diff(blue) < 4 } else { red > 240 && blue < 15 }, "{red} {blue}");
    }
    let grey = written(DynamicImage::from(image.to_luma8()), ImageFormat::Jpeg);
    assert_eq!(take(&grey).unwrap().width, 40);
}

#[test]
fn the_eight_ways_to_hold_a_camera_come_out_upright() {
    for number in 1..=8 {
        let orientation = Orientation::from_exif(number).unwrap();
        let bytes = held(number, &jpeg(64, 32));
        let mut upright = DynamicImage::from(halves(64, 32));
        upright.apply_orientation(orientation);
        let found = take(&bytes).unwrap();
        assert_eq!((found.width, found.height), upright.dimensions(), "{number}");
        for encoding in Encoding::ALL {
            let copy = derivative(&bytes, &Limits::default(), 1600, encoding).unwrap();
            assert!(!copy.windows(4).any(|w| w == b"Exif"));
            let copy = image::load_from_memory(&copy).unwrap().to_rgb8();
            assert_eq!(copy.dimensions(), upright.dimensions(), "{number}");
            for (x, y) in [(2, 2), (copy.width() - 3, 2), (2, copy.height() - 3)] {
                let red = |pixel: u8| pixel > 128;
                assert_eq!(red(copy.get_pixel(x, y)[0]), red(upright.get_pixel(x, y)[0]), "{number} at {x}, {y}");
            }
        }
    }
}

#[test]
fn nonsense_about_how_it_was_held_counts_as_upright() {
    for exif in [b"Exif\0\0garbage".as_slice(), b"Exif\0\0MM\0\x2a\xFF\xFF\xFF\xFF", b"Exif\0\0"] {
        assert_eq!(take(&segment(0xE1, exif, &jpeg(64, 32))).unwrap().width, 64);
    }
    assert_eq!(take(&held(9, &jpeg(64, 32))).unwrap().width, 64);
}

#[test]
fn what_telephones_append_is_let_through() {
    let film = {
        let mut film = b"\0\0\0\x14ftypisom\0\0\0\0isom\0\0\0\x0Cmdat".to_vec();
        film.extend([1, 2, 3, 4]);
        film
    };
    let own = {
        let mut own = b"\0\0\x01\x0A\x04\0\0\0Timedata".to_vec();
        let directory = b"SEFH\x6B\0\0\0\x01\0\0\0\0\0\x01\x0A\x10\0\0\0\x10\0\0\0";
        own.extend(directory);
        own.extend(u32::try_from(directory.len()).unwrap().to_le_bytes());
        own.extend(b"SEFT");
        own
    };
    let image = jpeg(64, 32);
    for behind in [vec![0; 5000], jpeg(16, 8), film.clone(), own, [jpeg(8, 8), vec![0; 9], film].concat()] {
        assert_eq!(take(&[image.clone(), behind].concat()).unwrap().width, 64);
    }
}

#[test]
fn anything_else_behind_or_within_it_is_refused() {
    let archive = b"PK\x03\x04rest of an entry PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0";
    for behind in [archive.as_slice(), b"<script>alert(1)</script>", b"%PDF-1.7", &[7; 100], b"\x7FELF"] {
        for image in [jpeg(64, 32), png(64, 32)] {
            let bytes = [image.as_slice(), behind].concat();
            let refused = take(&bytes).unwrap_err();
            assert!(matches!(refused, IngestError::Polyglot { .. }), "{refused:?}");
        }
    }
    let within = segment(0xFE, b"<SCRIPT>alert(1)</SCRIPT>", &jpeg(64, 32));
    assert!(matches!(take(&within), Err(IngestError::Polyglot { .. })));
    assert_eq!(take(&[jpeg(64, 32), vec![7; 10]].concat()).unwrap().width, 64, "a few bytes of no meaning");
}

#[test]
fn pixels_are_counted_before_they_are_decoded() {
    // A header that promises 60 000 x 60 000 pixels, and nothing behind it.
    let mut bytes = png(1, 1);
    bytes[16..24].copy_from_slice(&[0, 0, 0xEA, 0x60, 0, 0, 0xEA, 0x60]);
    let refused = take(&bytes).unwrap_err();
    assert_eq!(refused, IngestError::TooManyPixels { width: 60_000, height: 60_000, limit: 60_000_000 });
}

#[test]
fn what_is_no_image_is_named() {
    assert_eq!(take(b"\0\0\0\x18ftypheic\0\0\0\0heic").unwrap_err(), IngestError::Heic);
    assert_eq!(take(b"\0\0\0\x18ftypavif\0\0\0\0avif").unwrap_err(), IngestError::Avif);
    assert_eq!(take(b"").unwrap_err(), IngestError::Empty);
    let svg = take(b"<svg/>").unwrap_err();
    assert_eq!(svg, IngestError::UnknownFormat { looks_like: Some("an SVG or XML document") });
    assert_eq!(take(b"12345").unwrap_err(), IngestError::UnknownFormat { looks_like: None });
}

#[test]
fn a_declared_type_must_be_the_contents() {
    let image = jpeg(8, 8);
    for declared in ["image/jpeg", "image/jpg", "IMAGE/JPEG; q=1", "application/octet-stream", "image/*"] {
        assert!(take_as(&image, Some(declared)).is_ok(), "{declared}");
    }
    let refused = take_as(&image, Some("image/png")).unwrap_err();
    assert_eq!(refused, IngestError::Contradicted { declared: "image/png".to_owned(), found: Format::Jpeg });
}

#[test]
fn a_cut_off_image_is_told_from_a_damaged_one() {
    let webp = encode(&halves(64, 64), Encoding::WebP).unwrap();
    for image in [png(64, 64), jpeg(640, 320), webp] {
        for length in [image.len() / 2, image.len() - 3] {
            let refused = take(&image[..length]).unwrap_err();
            assert!(matches!(refused, IngestError::Truncated { .. }), "{refused:?}");
        }
    }
    let mut broken = png(64, 64);
    let middle = broken.len() / 2;
    broken[middle] ^= 0xFF;
    assert!(matches!(take(&broken), Err(IngestError::Damaged { .. })));
}

#[test]
fn a_scan_that_stops_early_is_damaged_and_one_that_does_not_is_sound() {
    let noisy = RgbImage::from_fn(160, 120, |x, y| {
        Rgb([x.to_le_bytes()[0], (x * y).to_le_bytes()[0], ((y * 3) ^ x).to_le_bytes()[0]])
    });
    let flat = RgbImage::from_pixel(160, 120, Rgb([9, 9, 9]));
    for image in [noisy, flat, halves(17, 9)] {
        let jpeg = encode(&image, Encoding::Jpeg).unwrap();
        assert!(take(&jpeg).is_ok());
        let whole = jpeg.len();
        // Only pixels that are gone can be missed: a cut within the last few bits of padding is none.
        let cut = [&jpeg[..whole - 2 - (whole - 620).min(12)], &[0xFF, 0xD9]].concat();
        assert!(matches!(take(&cut), Err(IngestError::Damaged { .. })), "of {whole} bytes: {:?}", take(&cut));
    }
}

#[test]
fn bytes_are_limited() {
    let limits = Limits { bytes: 10, ..Limits::default() };
    assert_eq!(look(&png(1, 1), &limits, None).unwrap_err(), IngestError::TooManyBytes { limit: 10 });
}

#[test]
fn copies_are_made_smaller_and_never_larger() {
    for encoding in Encoding::ALL {
        let small = derivative(&jpeg(640, 320), &Limits::default(), 320, encoding).unwrap();
        assert_eq!(image::load_from_memory(&small).unwrap().dimensions(), (320, 160));
        let same = derivative(&jpeg(64, 32), &Limits::default(), 320, encoding).unwrap();
        assert_eq!(image::load_from_memory(&same).unwrap().dimensions(), (64, 32));
    }
}
