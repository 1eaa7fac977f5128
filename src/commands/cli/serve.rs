//! What `serve` takes.

use std::net::IpAddr;
use std::path::PathBuf;

use clap::Args;

use super::{ArchiveFolder, RulesFile};

/// What `page` takes.
#[derive(Debug, Args)]
pub struct PageArgs {
    /// The folder to write into (made where it is missing); what it has of an older version is written over
    #[arg(long, value_name = "DIR")]
    pub into: PathBuf,
}

/// What `serve` takes.
#[derive(Debug, Args)]
pub struct ServeArgs {
    /// Let phones on the shop's network in; without it only this machine reaches the page
    #[arg(long)]
    pub network: bool,

    /// With --network, listen on this address of this machine only (may be given more than once); where
    /// not given, on all of its private ones
    #[arg(long, value_name = "ADDRESS", requires = "network")]
    pub address: Vec<IpAddr>,

    /// The port; 0 takes any free one, which then changes from day to day
    #[arg(long, value_name = "PORT", default_value_t = 7337)]
    pub port: u16,

    /// The name, and port where it is not 443, under which phones reach the page through a TLS server
    /// that stands in front of this one
    ///
    /// That server has to pass on the name that the phone asked for, and to let photos through; the manual has an
    /// example for nginx.
    #[arg(long, value_name = "NAME", value_parser = parse_name)]
    pub name: Option<String>,

    /// Open the page in this machine's browser; where it runs already, that one
    #[arg(long)]
    pub open: bool,

    /// Make a new pairing key, so that every phone must scan the code again
    #[arg(long)]
    pub unpair: bool,

    /// The rules.
    #[command(flatten)]
    pub rules: RulesFile,

    /// The archive's folder
    #[command(flatten)]
    pub archive: ArchiveFolder,
}

/// A host name with or without a port, as it stands in an address.
fn parse_name(text: &str) -> Result<String, String> {
    let name = text.trim().to_ascii_lowercase();
    let (host, port) = name.split_once(':').unwrap_or((&name, "443"));
    let letter = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-');
    let fits = !host.is_empty() && host.bytes().all(letter) && port.parse::<u16>().is_ok();
    if fits {
        Ok(name.trim_end_matches(":443").to_owned())
    } else {
        Err(
            "give a name such as jaws.shop.example or jaws.shop.example:8443, without https://"
                .into(),
        )
    }
}

pub(super) const EXAMPLES: &str = "\
Examples:
  For the phones in the shop; scan the code that it prints:
    seepline serve --network

  On this machine alone, in its browser:
    seepline serve --open

  Behind a TLS server on the same machine:
    seepline serve --name jaws.shop.example

The page is for a network that you trust. Ctrl-C ends it; phones stay paired until --unpair.";
