//! Only who has scanned the code comes in, today and tomorrow.

use std::sync::Arc;

use super::client::Client;
use super::server::Server;

#[test]
fn without_the_code_there_is_nothing_to_see() {
    let server = Server::start();
    let stranger = server.stranger();
    for path in [
        "/",
        "/checks/0",
        "/sets/heron",
        "/page.js",
        "/api/sets",
        "/api/openapi.json",
        "/nothing",
    ] {
        let answer = stranger.get(path).expect(401);
        assert!(!answer.text().contains("heron"), "{path}");
        assert!(
            answer.text().contains("can the code"),
            "{path}: {}",
            answer.text()
        );
    }
    for wrong in [
        "",
        "0",
        &"0".repeat(32),
        &server.key[..31],
        &(server.key.clone() + "0"),
    ] {
        let answer = stranger.get(&format!("/pair?key={wrong}")).expect(401);
        assert!(answer.header("set-cookie").is_none(), "{wrong}");
    }
    let cookie = Some("seepline-paired=0123456789abcdef0123456789abcdef".to_owned());
    Client {
        cookie,
        ..stranger.clone()
    }
    .get("/")
    .expect(401);
    // The code is for the address, not for the cookie.
    let cookie = Some(format!("seepline-paired={}", server.key));
    Client { cookie, ..stranger }.get("/").expect(401);
}

#[test]
fn the_code_becomes_a_strict_cookie_and_a_plain_address() {
    let server = Server::start();
    let answer = server
        .stranger()
        .get(&format!("/pair?key={}", server.key))
        .expect(303);
    assert_eq!(answer.header("location"), Some("/"));
    let cookie = answer.header("set-cookie").unwrap();
    for part in ["HttpOnly", "SameSite=Strict", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }
    assert!(
        !cookie.contains(&server.key) && !cookie.contains("Secure"),
        "{cookie}"
    );
    assert!(server.phone().get("/").expect(200).text().contains("heron"));
    // A program shows the code itself.
    let bearer = format!("Bearer {}", server.key);
    let program = server.stranger();
    program
        .send("GET", "/api/sets", &[("Authorization", &bearer)], b"")
        .expect(200);
    program
        .send("GET", "/api/sets", &[("Authorization", "Bearer 0")], b"")
        .expect(401);
}

#[test]
fn phones_stay_paired_until_a_new_key_is_made() {
    let server = Server::start();
    let cookie = server.phone().cookie;
    let (status, shop) = server.stop();
    assert_eq!(status, 0);
    let again = Server::on(Arc::clone(&shop), "");
    let before = Client {
        cookie,
        ..again.phone()
    };
    before.get("/").expect(200);
    let key = again.key.clone();
    again.stop();
    let renewed = Server::on(shop, "--unpair");
    assert_ne!(renewed.key, key);
    Client {
        address: renewed.phone().address,
        ..before
    }
    .get("/")
    .expect(401);
    renewed
        .stranger()
        .get(&format!("/pair?key={key}"))
        .expect(401);
}

#[test]
fn through_tls_the_cookie_never_goes_without() {
    let server = Server::on(Server::start().stop().1, "");
    let (_, shop) = server.stop();
    let mut child =
        crate::support::program::in_shop(shop.path(), "serve --port 0 --name Jaws.Shop.Example")
            .spawn()
            .unwrap();
    let mut said = std::io::BufReader::new(child.stdout.take().unwrap());
    let mut text = String::new();
    while !text.contains("Ctrl-C") && std::io::BufRead::read_line(&mut said, &mut text).unwrap() > 0
    {
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(
        text.contains("https://jaws.shop.example/pair?key="),
        "{text}"
    );
}
