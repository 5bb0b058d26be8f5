//! A server to try out: embedded database, photographs in the same folder, nothing to set up.

use crate::app::Operator;
use crate::config::Config;
use crate::effects::Effects;
use crate::startup::{Application, StartError};
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};

/// Builds the demonstration in a folder; port 0 takes a free one.
///
/// # Errors
/// What could not be opened, and why.
pub async fn build(data: &Path, port: u16, web: Option<PathBuf>, effects: Effects) -> Result<Application, StartError> {
    std::fs::create_dir_all(data).map_err(|e| StartError::of(format!("{} cannot be made", data.display()), &e))?;
    let mut secret = [0_u8; 32];
    effects.random.fill(&mut secret);
    let config = Config {
        listen: SocketAddr::from((Ipv4Addr::LOCALHOST, port)),
        database_url: format!("sqlite://{}?mode=rwc", data.join("handsel.db").display()),
        blobs: data.join("photos"),
        // Sessions end when the demonstration does.
        jwt_secret: hex::encode(secret),
        operator: Operator {
            name: "Fernway Campers (demonstration)".to_owned(),
            address: "1 Example Row, Exampleton".to_owned(),
            contact: "office@fernway.example, 01632 960100".to_owned(),
        },
        web,
        workers: None,
        first_manager: None,
    };
    Application::build(config, effects).await
}
