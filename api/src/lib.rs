//! Every question one can ask of a job.
