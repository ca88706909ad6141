package entry

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Encode writes an entry in the machine form: one JSON object with "kind"
// first, numbers as JSON numbers, and no member for what was not said.
func Encode(e Entry) ([]byte, error) {
	var body any = e
	switch v := e.(type) {
	case Setting:
		wire := settingWire{setting: setting(v)}
		switch {
		case v.Text != "":
			wire.Value, _ = json.Marshal(v.Text)
		case v.Value.Said():
			wire.Value = json.RawMessage(v.Value.String())
		}
		body = wire
	case Correction:
		wire := correctionWire{correction: correction(v)}
		for _, r := range v.Replace {
			raw, err := Encode(r)
			if err != nil {
				return nil, err
			}
			wire.Replace = append(wire.Replace, raw)
		}
		body = wire
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(body); err != nil {
		return nil, fmt.Errorf("encode %s entry: %w", e.Kind(), err)
	}
	raw := bytes.TrimSpace(b.Bytes())
	out := append([]byte(`{"kind":"`), e.Kind()...)
	out = append(out, '"')
	if len(raw) > 2 {
		out = append(out, ',')
	}
	return append(out, raw[1:]...), nil
}

type (
	setting     Setting
	correction  Correction
	settingWire struct {
		setting
		Value json.RawMessage `json:"value,omitempty"`
	}
	correctionWire struct {
		correction
		Replace []json.RawMessage `json:"replace,omitempty"`
	}
)

// decoders is the one table of kinds: what each "kind" decodes to.
func decoder(kind Kind) func([]byte) (Entry, error) {
	switch kind {
	case KindReading:
		return decode[Reading]
	case KindPath:
		return decode[Path]
	case KindSetting:
		return decodeSetting
	case KindAction:
		return decode[Action]
	case KindMaterial:
		return decode[Material]
	case KindCheck:
		return decode[Check]
	case KindTime:
		return decode[Time]
	case KindMiles:
		return decode[Miles]
	case KindCode:
		return decode[Code]
	case KindJob:
		return decode[Job]
	case KindSite:
		return decode[Site]
	case KindConsent:
		return decode[Consent]
	case KindNote:
		return decode[Note]
	case KindCorrection:
		return decodeCorrection
	case KindQuestion:
		return decode[Question]
	case KindUnparsed:
		return decode[Unparsed]
	case KindPhoto:
		return decode[Photo]
	case KindCloseout:
		return decode[Closeout]
	case KindPurge:
		return decode[Purge]
	case KindSample:
		return decode[Sample]
	case KindImport:
		return decode[Import]
	case KindControl:
		return decode[Control]
	case KindAnswer:
		return decode[Answer]
	case KindSighting:
		return decode[Sighting]
	case KindSymptom:
		return decode[Symptom]
	case KindPlace:
		return decode[Place]
	case KindOutcome:
		return decode[Outcome]
	}
	return nil
}

// Decode reads an entry in the machine form or in the stored form (decimals
// as strings). An unknown kind or a member that does not fit is an error.
func Decode(b []byte) (Entry, error) {
	var head struct {
		Kind Kind `json:"kind"`
	}
	if err := json.Unmarshal(b, &head); err != nil {
		return nil, fmt.Errorf("decode entry: %w", err)
	}
	return DecodeKind(head.Kind, b)
}

// DecodeKind reads an entry as Decode does, whose kind was read already.
func DecodeKind(kind Kind, b []byte) (Entry, error) {
	d := decoder(kind)
	if d == nil {
		return nil, fmt.Errorf("decode entry: unknown kind %q", kind)
	}
	e, err := d(b)
	if err != nil {
		return nil, fmt.Errorf("decode %s entry: %w", kind, err)
	}
	return e, nil
}

func decode[T Entry](b []byte) (Entry, error) {
	var e T
	err := json.Unmarshal(b, &e)
	return e, err
}

func decodeSetting(b []byte) (Entry, error) {
	var wire settingWire
	if err := json.Unmarshal(b, &wire); err != nil {
		return nil, err
	}
	s := Setting(wire.setting)
	if len(wire.Value) == 0 {
		return s, nil
	}
	if s.Value.UnmarshalJSON(wire.Value) != nil {
		if err := json.Unmarshal(wire.Value, &s.Text); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func decodeCorrection(b []byte) (Entry, error) {
	var wire correctionWire
	if err := json.Unmarshal(b, &wire); err != nil {
		return nil, err
	}
	c := Correction(wire.correction)
	for _, raw := range wire.Replace {
		e, err := Decode(raw)
		if err != nil {
			return nil, err
		}
		c.Replace = append(c.Replace, e)
	}
	return c, nil
}

// decimalMembers are the members that hold a Decimal, and so a string in the
// stored form: a chained entry has no floats.
var decimalMembers = map[string]bool{
	"level_dbm": true, "strength": true, "mer_db": true, "volts": true, "value": true,
	"length_ft": true, "units": true, "lat": true, "lon": true, "said": true,
}

// Stored turns the machine form into the stored form, in which every decimal
// is a string and every other number an integer. Decode reads both.
func Stored(machine []byte) ([]byte, error) {
	d := json.NewDecoder(bytes.NewReader(machine))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, fmt.Errorf("stored form: %w", err)
	}
	return json.Marshal(quoteDecimals(v))
}

func quoteDecimals(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			if n, ok := x.(json.Number); ok && decimalMembers[k] {
				v[k] = n.String()
				continue
			}
			v[k] = quoteDecimals(x)
		}
	case []any:
		for i := range v {
			v[i] = quoteDecimals(v[i])
		}
	}
	return v
}
