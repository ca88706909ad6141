package field

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"downlead/cmd/downlead/cli"
	"downlead/diagnose/call"
	"downlead/grammar/entry"
	"downlead/journal/record"
)

// aimFlags are the options of aim.
type aimFlags struct {
	slot             string
	lat, lon         float64
	declination      float64
	here, magnetised bool // whether a position, a declination was given
}

func NewAim(e *cli.Env, g *cli.Global) *cobra.Command {
	f := aimFlags{}
	c := &cobra.Command{
		Use:   "aim",
		Short: "Say where the dish must look for a slot",
		Long: `Aim gives azimuth, elevation, skew and range from a site to an orbital slot. The
site is the job's, where its position was entered, or --lat and --lon in degrees,
north and east positive. With the local magnetic declination (east positive) it
gives the compass azimuth too.

Before climbing: ladder firm and level, 1 ft out for every 4 ft up, 3 ft above
the landing; keep everything 10 ft from power lines; not in lightning, high wind,
ice or rain on a roof.`,
		Example: `  downlead aim --slot 119W --lat 35.1 --lon -100.2
  downlead aim --slot 119W --lat 35.1 --lon -100.2 --declination 5.5
  downlead aim --slot 119W                 # from the job's own position`,
		Args: cli.Args(cobra.NoArgs),
		RunE: func(cmd *cobra.Command, _ []string) error {
			f.here = cmd.Flags().Changed("lat") || cmd.Flags().Changed("lon")
			f.magnetised = cmd.Flags().Changed("declination")
			return runAim(cmd.Context(), e, g, f)
		},
	}
	fl := c.Flags()
	fl.StringVar(&f.slot, "slot", "", "the orbital slot in degrees `east or west`, as 119W")
	fl.Float64Var(&f.lat, "lat", 0, "latitude in `degrees`, north positive")
	fl.Float64Var(&f.lon, "lon", 0, "longitude in `degrees`, east positive")
	fl.Float64Var(&f.declination, "declination", 0, "magnetic declination in `degrees`, east positive")
	return c
}

// aimJSON is the machine form of a look angle, all in degrees but the range.
type aimJSON struct {
	Slot       string   `json:"slot"`
	Lat        float64  `json:"lat"`
	Lon        float64  `json:"lon"`
	Visible    bool     `json:"visible"`
	Azimuth    float64  `json:"azimuth_deg"`
	Elevation  float64  `json:"elevation_deg"`
	Skew       float64  `json:"skew_deg"`
	RangeKm    float64  `json:"range_km"`
	CompassDeg *float64 `json:"compass_deg,omitempty"`
}

func runAim(ctx context.Context, e *cli.Env, g *cli.Global, f aimFlags) error {
	if f.slot == "" {
		return cli.UsageError{Err: cli.Hinted(errors.New("which slot?"), "such as: %s", g.Paste("aim", "--slot", "119W", "--lat", "35.1", "--lon", "-100.2"))}
	}
	slot, err := call.ParseSlot(f.slot)
	if err != nil {
		return cli.UsageError{Err: err}
	}
	if !f.here {
		if f.lat, f.lon, err = position(ctx, e, g); err != nil {
			return err
		}
	}
	look, err := call.LookAngle(f.lat, f.lon, slot)
	if err != nil {
		return cli.UsageError{Err: err}
	}
	out := aimJSON{Slot: f.slot, Lat: f.lat, Lon: f.lon, Visible: look.Visible, Azimuth: look.Azimuth, Elevation: look.Elevation, Skew: look.Skew, RangeKm: look.RangeKm}
	if f.magnetised {
		compass := look.Compass(f.declination)
		out.CompassDeg = &compass
	}
	if g.JSON {
		return cli.PrintJSON(e.Out, out)
	}
	fmt.Fprintln(e.Out, look.Text())
	if out.CompassDeg != nil {
		fmt.Fprintf(e.Out, "By compass: %.1f degrees (declination %+.1f).\n", *out.CompassDeg, f.declination)
	}
	return nil
}

// position is where the job's site was said to be.
func position(ctx context.Context, e *cli.Env, g *cli.Global) (lat, lon float64, err error) {
	_, records, err := Job(ctx, e, g)
	if err != nil {
		return 0, 0, err
	}
	found := false
	for _, r := range record.Current(records) {
		if s, ok := r.Entry.(entry.Site); ok && s.Lat.Said() && s.Lon.Said() {
			lat, lon, found = s.Lat.Float(), s.Lon.Float(), true
		}
	}
	if !found {
		return 0, 0, cli.Hinted(errors.New("the job has no position"), "say it: location 35.1 north 100.2 west; or give --lat and --lon")
	}
	return lat, lon, nil
}
