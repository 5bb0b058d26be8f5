pub(crate) mod read_events;
