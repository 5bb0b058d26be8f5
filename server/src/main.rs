//! The command line.

use clap::{Parser, Subcommand};
use handsel::cli::compare::{self, Format};
use handsel::cli::{backup, photo, verify};
use handsel::config::{Config, Places};
use handsel::effects::Effects;
use handsel::startup::Application;
use handsel::{demo, telemetry};
use handsel_domain::text::Lang;
use std::error::Error;
use std::path::PathBuf;
use std::process::ExitCode;

/// Handover and return of a motorhome hire fleet.
#[derive(Debug, Parser)]
#[command(name = "handsel", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// A server with an invented fleet, to try it out.
    Demo {
        #[arg(long, default_value_t = 8080)]
        port: u16,
        /// Folder everything is kept in.
        #[arg(long, default_value = "handsel-demo")]
        data: PathBuf,
    },
    /// The server, configured by HANDSEL_… variables.
    Serve,
    /// Compares a departure with a return from one case document.
    Compare {
        case: PathBuf,
        #[arg(long, value_enum, default_value = "text")]
        format: Format,
        /// Language of the words.
        #[arg(long, value_enum, default_value = "en")]
        lang: Language,
    },
    /// Checks an evidence bundle: hashes, signatures, seals, and every charge reckoned anew.
    Verify {
        bundle: PathBuf,
        /// The operator's key id (SHA-256 of the public key's DER), as they told it.
        #[arg(long)]
        key: Option<String>,
    },
    /// Copies everything that is kept into an empty folder, while the server serves. Reads the same HANDSEL_… variables.
    Backup { folder: PathBuf },
    /// Puts a backup back where nothing is kept yet: into an empty database, of either kind, and an empty folder of
    /// photographs, as the HANDSEL_… variables name them. Overwrites nothing.
    Restore { folder: PathBuf },
    /// Looks at photographs as the server does.
    Photo {
        #[command(subcommand)]
        what: Photo,
    },
}

#[derive(Debug, Subcommand)]
enum Photo {
    /// Sharpness, light and fingerprint of one photograph.
    Check {
        file: PathBuf,
        #[arg(long, value_enum, default_value = "text")]
        format: Format,
    },
    /// Places of AFTER worth a look, against BEFORE: pointers for a person, never a charge.
    Compare {
        #[arg(required_unless_present = "pairs")]
        before: Option<PathBuf>,
        #[arg(required_unless_present = "pairs")]
        after: Option<PathBuf>,
        #[arg(long, value_enum, default_value = "text")]
        format: Format,
        /// Reads pairs from standard input, the two paths of each on a line, apart by a tab, and answers each with a
        /// line of JSON.
        #[arg(long, conflicts_with_all = ["before", "after", "format"])]
        pairs: bool,
    },
}

/// A language by its tag.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Language {
    En,
    De,
}

impl From<Language> for Lang {
    fn from(language: Language) -> Self {
        match language {
            Language::En => Self::En,
            Language::De => Self::De,
        }
    }
}

#[actix_web::main]
async fn main() -> ExitCode {
    let variable = |name: &str| std::env::var(name).ok();
    match Cli::parse().command {
        Command::Compare { case, format, lang } => told(compare::run(&case, format, lang.into())),
        Command::Verify { bundle, key } => told(verify::run(&bundle, key.as_deref())),
        Command::Photo { what: Photo::Check { file, format } } => told(photo::check(&file, format)),
        Command::Photo { what: Photo::Compare { before: Some(before), after: Some(after), format, .. } } => {
            told(photo::compare(&before, &after, format))
        }
        Command::Photo { what: Photo::Compare { .. } } => {
            let asked = std::io::stdin().lock();
            all_compared(photo::compare_all(asked, std::io::stdout().lock()))
        }
        Command::Backup { folder } => told(backup::take(Places::read(variable), &folder, &Effects::system()).await),
        Command::Restore { folder } => told(backup::restore(Places::read(variable), &folder).await),
        Command::Serve => {
            telemetry::start(variable("HANDSEL_LOG").as_deref(), variable("HANDSEL_LOG_JSON").is_some());
            ended(serve(Config::read(variable)).await)
        }
        Command::Demo { port, data } => {
            telemetry::start(Some("warn"), false);
            let web = variable("HANDSEL_WEB").map(PathBuf::from);
            eprintln!("Laying out the invented fleet in {} (a moment, the first time).", data.display());
            ended(show(demo::build(&data, port, web, Effects::system()).await).await)
        }
    }
}

/// Prints what a command that needs no server found.
fn told<E: std::fmt::Display>(found: Result<String, E>) -> ExitCode {
    match found {
        Ok(words) => {
            println!("{words}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}

/// Pairs that could not be compared are told on their lines already.
fn all_compared(outcome: std::io::Result<(usize, usize)>) -> ExitCode {
    match outcome {
        Ok((_, 0)) => ExitCode::SUCCESS,
        Ok((all, failed)) => {
            eprintln!("{failed} of {all} pairs could not be compared: their lines say why");
            ExitCode::from(2)
        }
        Err(error) => {
            eprintln!("the pairs cannot be read or told: {error}");
            ExitCode::from(2)
        }
    }
}

async fn serve(config: Result<Config, handsel::config::ConfigError>) -> Result<(), Box<dyn Error>> {
    run(Application::build(config?, Effects::system()).await).await
}

async fn run(built: Result<Application, handsel::startup::StartError>) -> Result<(), Box<dyn Error>> {
    let application = built?;
    eprintln!("Handsel answers on port {}.", application.port());
    Ok(application.run().await?)
}

/// Runs the demonstration, telling where it is and whom it knows.
async fn show(built: Result<Application, handsel::startup::StartError>) -> Result<(), Box<dyn Error>> {
    let application = built?;
    println!("\nHandsel is at http://127.0.0.1:{}", application.port());
    println!("Accounts, all with the password {}:", demo::PASSWORD);
    for account in demo::accounts() {
        println!("  {:<24} {:?}", account.email, account.role);
    }
    println!("Stop with Ctrl-C; the fleet stays in its folder.");
    Ok(application.run().await?)
}

fn ended(outcome: Result<(), Box<dyn Error>>) -> ExitCode {
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("handsel: {error}");
            ExitCode::FAILURE
        }
    }
}
