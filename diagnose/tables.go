package diagnose

// Tables are the figures a person may edit: losses, spreads, priors and
// minutes, with their sources.
type Tables struct{}
