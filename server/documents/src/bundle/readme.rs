//! The bundle's own words: what is in it, and how to check it with tools that everybody has.

use super::contents::Contents;
use std::fmt::Write;

/// The commands stand on lines that begin with four spaces, one for each check, to be run in the unpacked folder.
pub(super) fn readme(of: &Contents) -> String {
    let mut checks = String::new();
    let mut seals = String::new();
    let verify = |key: &str, file: &str, signature: &str| {
        format!("    openssl pkeyutl -verify -pubin -inkey {key} -rawin -in {file} -sigfile {signature}\n")
    };
    for seal in of.seals.iter().filter(|s| !s.document.is_empty()) {
        let folder = format!("inspections/{}", seal.leg);
        seals += &verify(&format!("{folder}/key.pem"), &format!("{folder}/seal.json"), &format!("{folder}/seal.sig"));
        for (number, _) in (1..).zip(&seal.addenda) {
            let name = format!("{folder}/addendum-{number}");
            seals += &verify(&format!("{name}.pem"), &format!("{name}.json"), &format!("{name}.sig"));
        }
    }
    // A String takes everything that is written to it.
    let _written = write!(
        checks,
        "EVIDENCE OF ONE HIRE: {reference}\n\
         \n\
         What is in here\n\
         \n\
         case.json         what was agreed, recorded and decided, as one document\n\
         comparison.json   what changed, each proposed charge with its formula and evidence\n\
         statement.json    what was charged, and where the deposit went\n\
         ledger.json       every movement of the deposit, oldest first\n\
         disputes.json     what the hirer disputed, and the answers\n\
         inspections/      each walk-round: its record as it was signed, its seal, the drawn signatures, what was\n\
         \x20                 added later; a record that had to be erased is left out, its hash stays in the next seal\n\
         documents/        the records and the statement as documents to read and print (PDF/A-2a)\n\
         photos/           every photograph of both walk-rounds as it came, named by its SHA-256\n\
         SHA256SUMS        the SHA-256 of each of these files\n\
         SHA256SUMS.sig    that list's signature (Ed25519, RFC 8032), made with the key in key.pem\n\
         \n\
         How to check it without the program that made it\n\
         \n\
         Unpack it and run these in the folder. The first compares every file with its hash; the others check that\n\
         the list and the seals were signed with the keys enclosed (OpenSSL 3.0 or later).\n\
         \n\
         \x20   sha256sum -c SHA256SUMS\n\
         {sums}{seals}\
         \n\
         Each seal.json names the SHA-256 of record.json beside it (record_sha256), of each drawn signature, and of\n\
         the seal before it of the same vehicle (previous). Whether the keys are the operator's is for the operator\n\
         to say: ask for the SHA-256 of the public key through another channel and compare it with\n\
         \n\
         \x20   openssl pkey -pubin -in key.pem -outform DER | sha256sum\n\
         \n\
         How to check it with the program\n\
         \n\
         handsel verify BUNDLE.zip also reckons every charge again from case.json.\n",
        reference = of.statement.reference,
        sums = verify("key.pem", "SHA256SUMS", "SHA256SUMS.sig"),
    );
    checks
}
