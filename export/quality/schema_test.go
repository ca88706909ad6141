package quality

import (
	"bytes"
	"testing"

	"downlead/export/exporttest"
)

// TestQualitySchema: every month fits the published schema.
func TestQualitySchema(t *testing.T) {
	team := manyQuality(t, 2)
	team.Team = []Member{{Technician: "T-17", Journal: team.Journal}}
	team.Jobs[0].Whose, team.Jobs[0].Journal = "T-17", "0b1f5c1e-1111-4222-8333-123456789abc"
	exporttest.Fits(t, QualitySchemaJSON, [][]byte{
		exporttest.Render(t, func(b *bytes.Buffer) error { return manyQuality(t, 40).JSON(b) }), exporttest.Render(t, func(b *bytes.Buffer) error { return manyQuality(t, 1).JSON(b) }),
		exporttest.Render(t, func(b *bytes.Buffer) error { return team.JSON(b) }),
	}, `"fix_days": 30`, `"fix_days": -1`)
}
