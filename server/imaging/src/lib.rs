//! Pixels: what an uploaded photograph is, and smaller, upright, plain copies of it. Pure: bytes in, bytes out.

mod change;
mod closer;
mod colour;
mod container;
mod decode;
mod derive;
mod encode;
mod error;
mod features;
mod field;
mod flow;
mod geometry;
mod ingest;
mod judge;
mod layers;
mod network;
mod num;
mod places;
mod plane;
mod pointing;
pub mod quality;
mod register;
mod scale;
mod sight;
pub mod similarity;
mod ssim;

pub use container::Format;
pub use derive::{derivative, smaller, upright};
pub use encode::{Encoding, encode};
pub use error::{IngestError, Limits};
pub use image::RgbImage;
pub use ingest::{Ingested, Walked, ingest, look};
pub use plane::Plane;
pub use pointing::{
    Aligned, CANDIDATE_SIDE, Candidate, Known, Pointing, Region, WORKING_EDGE, Warp, laid, point, proposed,
};
pub use quality::{Advice, Quality, measure};
pub use sight::Laid;
pub use similarity::{Fingerprint, fingerprint};
pub use ssim::ssim;
