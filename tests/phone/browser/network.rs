//! The network goes away and comes back.

use std::net::TcpStream;

use serde_json::{Value, json};

use super::flow::state;
use super::phone::{Kind, Phone};
use super::{heron, open};
use crate::phone::client::Client;
use crate::phone::samples::heron_settings;
use crate::phone::server::Server;
use crate::support::program::{in_shop, wait_for};

/// As slow as given, bytes a second (−1: as fast as it is), or gone.
fn network(phone: &Phone, offline: bool, upload: i64) {
    let conditions = json!({ "offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": upload });
    phone.devtools("Network.emulateNetworkConditions", &conditions);
}

fn wait_said(phone: &Phone, jaw: u8, words: &str) {
    let line = format!("#jaw-{jaw} .state");
    phone.until(words, || phone.text(&line).contains(words).then_some(()));
}

fn photos(client: &Client, check: &str) -> usize {
    state(client, check)["photos"]
        .as_array()
        .expect("photos")
        .len()
}

/// Whether the page asks before it is left.
fn asks(phone: &Phone) -> Value {
    phone.run("const e = new Event('beforeunload', { cancelable: true }); window.dispatchEvent(e); return e.defaultPrevented")
}

/// Ends the server without warning, which cuts whatever is on its way; the same archive again, at the same
/// address.
pub(super) fn cut(server: &mut Server) {
    server.child.kill().expect("a running server");
    server.child.wait().expect("its end");
}

pub(super) fn begin_again(server: &mut Server) {
    let address = server.phone().address;
    let line = format!("serve --port {}", address.port());
    server.child = in_shop(server.shop.path(), &line)
        .spawn()
        .expect("a server");
    wait_for("the server", || TcpStream::connect(address).is_ok());
}

#[test]
fn a_photo_cut_off_in_the_middle_arrives_once() {
    let mut server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let (client, check) = (server.phone(), server.begin(heron_settings()));
    let photos = || photos(&client, &check);
    open(&phone, &check);
    phone.devtools("Network.enable", &json!({}));
    // 220 kB take some seconds.
    network(&phone, false, 40_000);
    phone.take(2, &heron(2));
    let part = "return parseInt(document.querySelector('#jaw-2 .state').textContent.match(/\\d+/)?.[0] ?? 0)";
    phone.until("a part of the photo", || {
        (phone.run(part).as_i64() > Some(5)).then_some(())
    });
    cut(&mut server);
    network(&phone, false, -1);
    wait_said(&phone, 2, "no network");
    assert!(phone.text(".bar").contains("Not sent yet: jaw 2"));
    assert_eq!(asks(&phone), json!(true));
    phone.shot("lost");
    begin_again(&mut server);
    assert_eq!(photos(), 0);
    // By itself.
    phone.wait_read(2);
    assert_eq!((photos(), asks(&phone)), (1, json!(false)));
    // Away while the server reads: it is sent again, and counts once.
    phone.take(1, &heron(1));
    phone.until("the reading", || {
        let text =
            phone.run("return document.querySelector('#jaw-1 .state')?.textContent ?? 'done'");
        matches!(text.as_str(), Some("Reading …" | "done")).then_some(())
    });
    cut(&mut server);
    begin_again(&mut server);
    phone.wait_read(1);
    assert_eq!(photos(), 2);
}

#[test]
fn photos_taken_without_network_go_when_it_is_back() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let (client, check) = (server.phone(), server.begin(heron_settings()));
    open(&phone, &check);
    phone.devtools("Network.enable", &json!({}));
    network(&phone, true, -1);
    for jaw in [1, 3] {
        phone.take(jaw, &heron(jaw));
        wait_said(&phone, jaw, "no network");
    }
    assert_eq!(photos(&client, &check), 0);
    network(&phone, false, -1);
    phone.wait_read(1);
    phone.wait_read(3);
    assert_eq!(photos(&client, &check), 2);
    // While another photo is on its way, nobody takes the answer for one with it.
    phone.wait("#answer[data-action]");
    assert_eq!(phone.count("#answer .older"), 0);
    network(&phone, true, -1);
    phone.take(1, &heron(2));
    phone.wait("#answer .older");
    network(&phone, false, -1);
    phone.wait_read(1);
    assert_eq!(phone.count("#answer .older"), 0);
    assert_eq!(photos(&client, &check), 2);
}

#[test]
fn a_swap_is_not_done_again_by_itself() {
    let server = Server::start();
    let Some(phone) = Phone::paired(&server, Kind::Phone) else {
        return;
    };
    let (client, check) = (server.phone(), server.begin(heron_settings()));
    super::read_heron(&phone, &check, 1);
    phone.devtools("Network.enable", &json!({}));
    network(&phone, true, -1);
    phone.click("#jaw-1 .swap button");
    phone.wait("#jaw-1 .own.fault");
    network(&phone, false, -1);
    phone.until("the page anew", || {
        (!phone.text(".bar").contains("No network")).then_some(())
    });
    assert_eq!(state(&client, &check)["photos"][0]["tip"], Value::Null);
    phone.click("#jaw-1 .swap button");
    phone.until("the swap", || {
        (state(&client, &check)["photos"][0]["tip"] == "down").then_some(())
    });
}
