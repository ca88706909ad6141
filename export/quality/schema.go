package quality

import _ "embed" // the schema

// QualitySchemaJSON is the JSON Schema (2020-12) of the JSON form of a Quality.
//
//go:embed quality.schema.json
var QualitySchemaJSON string
