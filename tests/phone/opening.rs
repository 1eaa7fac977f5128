//! `serve --open`: this machine's browser is asked for the page, by whichever start.

use std::fs::{self, Permissions};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Output;

use super::server::Server;
use crate::support::program::{in_shop, wait_for};

/// Starts again on the shop's archive, with a folder `bin` as the only place for programs.
fn second_start(shop: &Path) -> Output {
    let bin = shop.join("bin");
    let mut command = in_shop(shop, "serve --port 0 --open");
    command.env("PATH", bin).output().unwrap()
}

fn said(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn a_second_start_opens_the_page_of_the_first() {
    let server = Server::start();
    let shop = server.shop.path();
    let (opener, opened) = (shop.join("bin/xdg-open"), shop.join("opened"));
    fs::create_dir(shop.join("bin")).unwrap();
    // Renamed: a file that is there is there whole.
    let script = "#!/bin/sh\necho \"$1\" >opened.part && /bin/mv opened.part opened\n";
    fs::write(&opener, script).unwrap();
    fs::set_permissions(&opener, Permissions::from_mode(0o755)).unwrap();

    assert!(said(&second_start(shop)).contains("runs already"));
    wait_for("the browser is asked", || opened.exists());
    let page = fs::read_to_string(opened).unwrap();
    let (base, key) = page.trim().split_once("/pair?key=").unwrap();
    assert_eq!(key, server.key);
    assert_eq!(base, format!("http://{}", server.phone().address));
}

#[test]
fn where_there_is_no_browser_the_address_is_said() {
    let server = Server::start();
    let said = said(&second_start(server.shop.path()));
    let page = format!("http://{}/pair?key={}", server.phone().address, server.key);
    assert!(
        said.contains("No browser") && said.contains(&page),
        "{said}"
    );
}

#[test]
fn the_address_of_a_server_that_ended_is_not_left() {
    let server = Server::start();
    let file = server.archive().join("serve.address");
    assert!(file.exists());
    let (_, _shop) = server.stop();
    assert!(!file.exists());
}
