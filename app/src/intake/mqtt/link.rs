//! The only file that names the client libraries. The two have one shape; one text is compiled
//! against each.

use super::{Happened, LONGEST_PACKET, Link, Message, REQUESTS, Setup};
use crate::intake::{Fate, Ticket, tls};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

macro_rules! link {
    ($version:ident, $library:ident, $options:expr) => {
        pub(super) fn $version(setup: &Setup, stays: bool) -> Result<Box<dyn Link>, String> {
            use $library::{
                AckMode, Client, ClientError, Connection, ConnectionError, Event, ManualAck, MqttOptions,
                Packet, PublishOptions, QoS, SubscribeFilter, SubscribeReasonCode, Transport,
            };

            struct Line {
                client: Client,
                connection: Connection,
                /// Counts connections: an acknowledgement belongs to the one its message came by.
                current: Arc<AtomicU64>,
            }

            struct Waiting {
                client: Client,
                ack: ManualAck,
                of: u64,
                current: Arc<AtomicU64>,
            }

            impl Ticket for Waiting {
                fn tell(&mut self, fate: Fate) -> bool {
                    // Not acknowledged, the broker sends it again on the next connection; one of an
                    // earlier connection it will send again too.
                    if fate == Fate::NotKept || self.current.load(Ordering::Acquire) != self.of {
                        return true;
                    }
                    !matches!(
                        self.client.try_manual_ack(self.ack.clone()),
                        Err(ClientError::RequestChannelFull(_))
                    )
                }
            }

            impl Line {
                fn message(&self, p: $library::Publish) -> Message {
                    let of = self.current.load(Ordering::Acquire);
                    let ticket = self.client.prepare_ack(&p).map(|ack| -> Box<dyn Ticket> {
                        let (client, current) = (self.client.clone(), Arc::clone(&self.current));
                        Box::new(Waiting { client, ack, of, current })
                    });
                    Message {
                        topic: String::from_utf8_lossy(&p.topic).into_owned(),
                        body: p.payload.to_vec(),
                        again: p.dup,
                        stored: p.retain,
                        ticket,
                    }
                }
            }

            impl Link for Line {
                fn next(&mut self) -> Happened {
                    match self.connection.recv() {
                        Ok(Ok(Event::Incoming(Packet::ConnAck(_)))) => {
                            self.current.fetch_add(1, Ordering::AcqRel);
                            Happened::Up
                        }
                        Ok(Ok(Event::Incoming(Packet::Publish(p)))) => Happened::Message(self.message(p)),
                        Ok(Ok(Event::Incoming(Packet::PubAck(_)))) => Happened::Published,
                        Ok(Ok(Event::Incoming(Packet::SubAck(s)))) => {
                            let given =
                                |c: &SubscribeReasonCode| matches!(c, SubscribeReasonCode::Success(_));
                            match s.return_codes.iter().position(|c| !given(c)) {
                                Some(at) => Happened::Refused(at),
                                None => Happened::Other,
                            }
                        }
                        Ok(Ok(_)) => Happened::Other,
                        Ok(Err(ConnectionError::RequestsDone)) | Err(_) => Happened::Over,
                        Ok(Err(error)) => {
                            self.current.fetch_add(1, Ordering::AcqRel);
                            Happened::Down(error.to_string())
                        }
                    }
                }

                fn subscribe(&mut self, filters: &[String]) -> Result<(), String> {
                    let one = |f: &String| SubscribeFilter::new(f.clone(), QoS::AtLeastOnce);
                    self.client.try_subscribe_many(filters.iter().map(one)).map_err(|e| e.to_string())
                }

                fn publish(&mut self, topic: &str, body: &[u8]) -> Result<(), String> {
                    let options = PublishOptions::new(QoS::AtLeastOnce);
                    self.client.try_publish(topic, body.to_vec(), options).map_err(|e| e.to_string())
                }

                fn ender(&self) -> Box<dyn Fn() + Send> {
                    let client = self.client.clone();
                    Box::new(move || {
                        // Ended already is as good.
                        if client.try_disconnect_now().is_err() {}
                    })
                }
            }

            let mut options = MqttOptions::new(setup.client.clone(), (setup.host.clone(), setup.port));
            options.set_keep_alive(setup.keep_alive_s).set_ack_mode(AckMode::Manual);
            match &setup.login {
                Some((user, Some(password))) => {
                    options.set_credentials(user.clone(), password.clone());
                }
                Some((user, None)) => {
                    options.set_username(user.clone());
                }
                None => {}
            }
            if let Some(authority) = &setup.tls {
                let config = tls::client(authority.as_deref())?;
                options.set_transport(Transport::tls_with_config((*config).clone().into()));
            }
            let settle: fn(&mut MqttOptions, bool) = $options;
            settle(&mut options, stays);
            let built = Client::builder(options).capacity(REQUESTS).try_build();
            let (client, connection) = built.map_err(|e| e.to_string())?;
            Ok(Box::new(Line { client, connection, current: Arc::new(AtomicU64::new(0)) }))
        }
    };
}

link!(v4, mqtt4, |options, stays| {
    options.set_max_packet_size(LONGEST_PACKET, LONGEST_PACKET);
    options.set_clean_session(!stays);
});

link!(v5, mqtt5, |options, stays| {
    options.set_max_packet_size(u32::try_from(LONGEST_PACKET).ok());
    options.set_clean_start(!stays);
    // A day away, and the broker still has what came meanwhile.
    options.set_session_expiry_interval(stays.then_some(86_400));
    // What the broker has kept for us is welcome; of our own side nothing needs to be remembered.
    options.set_broker_session_resume_policy(mqtt5::BrokerSessionResumePolicy::AllowBrokerOnly);
});
