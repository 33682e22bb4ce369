//! What the program is built from keeps to `deny.toml`: licences, what is banned, and where it comes from. Whoever has the tool that
//! the file is written for runs it; this test holds the same without it, and without a network.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use serde::Deserialize;

#[derive(Deserialize)]
struct Rules {
    licenses: Licenses,
    bans: Bans,
    sources: Sources,
}

#[derive(Deserialize)]
struct Licenses {
    allow: Vec<String>,
}

#[derive(Deserialize)]
struct Bans {
    deny: Vec<Banned>,
}

#[derive(Deserialize)]
struct Banned {
    #[serde(rename = "crate")]
    name: String,
    reason: String,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
struct Sources {
    unknown_registry: String,
    unknown_git: String,
}

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

#[derive(Deserialize)]
struct Package {
    name: String,
    version: String,
    license: Option<String>,
    source: Option<String>,
}

fn rules() -> Rules {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("deny.toml");
    toml::from_str(&std::fs::read_to_string(file).unwrap()).unwrap()
}

/// The platform this was built for; what others need beside it may not be there.
fn host() -> String {
    let output = Command::new("rustc").arg("-vV").output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().find_map(|l| l.strip_prefix("host: ")).unwrap().to_owned()
}

/// Every package of the lock file for this platform.
fn packages() -> Vec<Package> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform"])
        .arg(host())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let found: Metadata = serde_json::from_slice(&output.stdout).unwrap();
    assert!(found.packages.len() > 100, "{}", found.packages.len());
    found.packages
}

#[test]
fn every_licence_is_one_of_those_allowed() {
    let allowed = rules().licenses.allow;
    for package in packages() {
        let stated = package.license.as_deref().unwrap_or_else(|| panic!("{} states no licence", package.name));
        // Some write "MIT/Apache-2.0", which means either.
        let expression = spdx::Expression::parse_mode(stated, spdx::ParseMode::LAX)
            .unwrap_or_else(|e| panic!("{}: {stated}: {e}", package.name));
        let fits =
            expression.evaluate(|wanted| wanted.license.id().is_some_and(|id| allowed.iter().any(|a| a == id.name)));
        assert!(fits, "{} {}: {stated}", package.name, package.version);
    }
}

#[test]
fn nothing_that_is_banned_is_built_in_and_each_ban_has_its_reason() {
    let names: BTreeSet<String> = packages().into_iter().map(|p| p.name).collect();
    let bans = rules().bans.deny;
    assert!(bans.len() >= 5);
    for ban in bans {
        assert!(ban.reason.split_whitespace().count() > 2, "{}", ban.name);
        assert!(!names.contains(&ban.name), "{}: {}", ban.name, ban.reason);
    }
}

#[test]
fn everything_comes_from_the_one_registry() {
    let sources = rules().sources;
    assert_eq!((sources.unknown_registry.as_str(), sources.unknown_git.as_str()), ("deny", "deny"));
    let own = ["runtrue", "empty_frame", "pictures"];
    for package in packages() {
        let from = package.source.as_deref();
        let registry = from == Some("registry+https://github.com/rust-lang/crates.io-index");
        assert!(registry || (from.is_none() && own.contains(&package.name.as_str())), "{}: {from:?}", package.name);
    }
}
