package pay

import _ "embed" // the schema

// PaySchemaJSON is the JSON Schema (2020-12) of the JSON form of a Pay.
//
//go:embed pay.schema.json
var PaySchemaJSON string
