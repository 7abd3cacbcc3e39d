//! The desk as devices meet it: the program runs with a store, and clients of their own talk to it.

mod client;
mod hostile;
mod live;
mod pairing;
mod print;
mod secure;
mod singles;
mod tasks;
mod watch;
mod week;
