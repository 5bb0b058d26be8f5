//! Handsel's server: the HTTP API over one application, one store and one folder of photographs.

pub mod app;
pub mod backup;
pub mod blobs;
pub mod cli;
pub mod config;
mod config_office;
pub mod demo;
pub mod effects;
pub mod http;
pub mod jobs;
pub mod outside;
mod seal_file;
pub mod startup;
pub mod store;
pub mod telemetry;
