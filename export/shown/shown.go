// Package shown makes what is stored fit to be printed. It decides nothing and
// changes nothing that is kept.
package shown

import (
	"reflect"
	"strings"
	"unicode"
)

// Of returns v with every text in it on one line and without control
// characters, for printing: a remark must not forge a line of the report that
// it stands in, nor steer the terminal (CWE-150). v itself is not changed.
func Of[T any](v T) T {
	out, _ := visible(reflect.ValueOf(&v)).Elem().Interface().(T)
	return out
}

// visible copies a value, its texts made printable.
func visible(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	switch v.Kind() {
	case reflect.String:
		out.SetString(printable(v.String()))
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				out.Field(i).Set(visible(v.Field(i)))
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			out.Set(reflect.New(v.Type().Elem()))
			out.Elem().Set(visible(v.Elem()))
		}
	case reflect.Interface:
		if !v.IsNil() {
			out.Set(visible(v.Elem()))
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 || v.IsNil() {
			break
		}
		out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
		for i := range v.Len() {
			out.Index(i).Set(visible(v.Index(i)))
		}
	case reflect.Map:
		if v.IsNil() {
			break
		}
		out.Set(reflect.MakeMapWithSize(v.Type(), v.Len()))
		for of := v.MapRange(); of.Next(); {
			out.SetMapIndex(visible(of.Key()), visible(of.Value()))
		}
	}
	return out
}

// printable puts a text on one line, breaks as " / ", other control
// characters left out.
func printable(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' }) {
		return s
	}
	lines := strings.FieldsFunc(s, func(r rune) bool {
		return r == '\n' || r == '\r' || r == '\v' || r == '\f' || r == '\u0085' || r == '\u2028' || r == '\u2029'
	})
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, strings.Join(lines, " / "))
}
