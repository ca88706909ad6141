package diagnose

// ExpectedLevel returns the level, in dBm, that a healthy path gives at the
// observation's point and transponder, and its standard deviation in dB
// (without the meter's own). A nil t means the built-in tables.
func ExpectedLevel(c Call, t *Tables, o Observation) (mean, sd float64) { return 0, 0 }

// SegmentLoss returns the loss in dB that a healthy path has from one
// observation's point to another's on its receiver side, and the standard
// deviation in dB of a measured loss there, both meter readings included.
func SegmentLoss(c Call, t *Tables, from, to Observation) (mean, sd float64) { return 0, 0 }
