//! Photographs to send.

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// Where one of them says it was taken: the latitude's degrees, as EXIF writes them.
pub const GPS: [u8; 8] = [0, 0, 0, 51, 0, 0, 0, 1];
/// What one of them says of its camera.
pub const SERIAL: &str = "SN-77-INVENTED-0042";

/// A picture whose left half is red and whose right half is blue.
#[must_use]
pub fn jpeg(width: u32, height: u32) -> Vec<u8> {
    let image =
        RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([255, 0, 0]) } else { Rgb([0, 0, 255]) });
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::from(image).write_to(&mut bytes, ImageFormat::Jpeg).expect("a picture");
    bytes.into_inner()
}

/// Every picture made for this project, in a fixed order.
#[must_use]
pub fn fixtures() -> Vec<Vec<u8>> {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos")];
    let mut files: Vec<PathBuf> = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("the pictures") {
            let path = entry.expect("a picture").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "jpg") {
                files.push(path);
            }
        }
    }
    files.sort();
    // Enough to tell apart; a test that wants more of them can number them.
    files.truncate(40);
    assert!(!files.is_empty());
    files.iter().map(|path| std::fs::read(path).expect("a picture")).collect()
}

/// One of them.
#[must_use]
pub fn fixture() -> Vec<u8> {
    fixtures().swap_remove(0)
}

/// Puts a segment behind the start of a JPEG.
#[must_use]
pub fn segment(marker: u8, content: &[u8], jpeg: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len() + 2).expect("a length");
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, marker]);
    bytes.extend(length.to_be_bytes());
    bytes.extend(content);
    bytes.extend(&jpeg[2..]);
    bytes
}

/// What a camera writes beside its picture: how it was held, its serial number, where it was, and a small picture.
#[must_use]
pub fn told(orientation: u8, thumbnail: &[u8]) -> Vec<u8> {
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    let entry = |tiff: &mut Vec<u8>, tag: u16, kind: u16, count: usize, value: u32| {
        tiff.extend(tag.to_be_bytes());
        tiff.extend(kind.to_be_bytes());
        tiff.extend(u32::try_from(count).expect("a count").to_be_bytes());
        tiff.extend(value.to_be_bytes());
    };
    // The first directory: 3 entries end at 50. The serial number follows, then where it was, then the thumbnail.
    let serial_at = 50;
    let gps_at = serial_at + 20;
    let small_at = gps_at + 30 + 24;
    let at = |place: usize| u32::try_from(place).expect("a place");
    tiff.extend([0, 3]);
    entry(&mut tiff, 0x0112, 3, 1, u32::from(orientation) << 16);
    entry(&mut tiff, 0x8825, 4, 1, at(gps_at));
    entry(&mut tiff, 0xA431, 2, SERIAL.len() + 1, at(serial_at));
    tiff.extend(at(small_at).to_be_bytes());
    tiff.extend(SERIAL.as_bytes());
    tiff.resize(gps_at, 0);
    // Latitude 51° 28' 40" N.
    tiff.extend([0, 2]);
    entry(&mut tiff, 1, 2, 2, u32::from(b'N') << 24);
    entry(&mut tiff, 2, 5, 3, at(gps_at + 30));
    tiff.extend([0; 4]);
    tiff.extend(GPS);
    for number in [28_u32, 1, 40, 1] {
        tiff.extend(number.to_be_bytes());
    }
    assert_eq!(tiff.len(), small_at);
    tiff.extend([0, 2]);
    entry(&mut tiff, 0x0201, 4, 1, at(small_at + 30));
    entry(&mut tiff, 0x0202, 4, 1, at(thumbnail.len()));
    tiff.extend([0; 4]);
    tiff.extend(thumbnail);
    tiff
}

/// Puts how a camera was held, and everything else it tells, into a JPEG.
#[must_use]
pub fn held(orientation: u8, picture: &[u8]) -> Vec<u8> {
    let exif = [b"Exif\0\0".to_vec(), told(orientation, &jpeg(16, 8))].concat();
    segment(0xE1, &exif, picture)
}
