package trace

// The codes of findings.
const (
	FindingOutlet      = "outlet_unsafe"
	FindingOtherOutlet = "outlet_failed_before"
	FindingUngrounded  = "ground_block_out"
	FindingCutOff      = "room_cut_off"
	FindingUnsteady    = "unsteady"
	FindingDiffers     = "verdict_differs"
	FindingApart       = "readings_apart"
	FindingRises       = "level_rises"
	FindingUnused      = "output_unused"
	FindingExcess      = "excess_loss"
	FindingMarginal    = "marginal"
	FindingBarrel      = "unrated_barrel"
	FindingCladRun     = "long_clad_run"
	FindingNoSupply    = "no_supply"
	FindingLowSupply   = "supply_low"
	FindingHighSupply  = "supply_high"
	FindingTilt        = "rises_with_frequency"
	FindingLowEnd      = "falls_with_frequency"
	FindingPolarity    = "one_polarisation"
	FindingSlot        = "one_slot"
	FindingAim         = "strength_weak_level_full"
	FindingQuality     = "quality_low"
	FindingRepeat      = "repeat_visit"
	FindingCheck       = "check_failed"
)
