package neck

import (
	"fmt"
	"math"
	"reflect"
)

// difference names the first place where two values differ; numbers may
// differ by rounding.
func difference(a, b reflect.Value, at string) string {
	switch a.Kind() {
	case reflect.Float64:
		x, y := a.Float(), b.Float()
		if math.Abs(x-y) > 1e-12*math.Max(math.Abs(x), math.Abs(y)) {
			return fmt.Sprintf("%s: %v, want %v", at, x, y)
		}
		return ""
	case reflect.Pointer:
		if a.IsNil() != b.IsNil() {
			return fmt.Sprintf("%s: nil %v, want %v", at, a.IsNil(), b.IsNil())
		}
		if a.IsNil() {
			return ""
		}
		return difference(a.Elem(), b.Elem(), at)
	case reflect.Struct:
		for i := range a.NumField() {
			if d := difference(a.Field(i), b.Field(i), at+"."+a.Type().Field(i).Name); d != "" {
				return d
			}
		}
		return ""
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return fmt.Sprintf("%s: %d values, want %d", at, a.Len(), b.Len())
		}
		for i := range a.Len() {
			if d := difference(a.Index(i), b.Index(i), fmt.Sprintf("%s[%d]", at, i)); d != "" {
				return d
			}
		}
		return ""
	}
	if !a.Equal(b) {
		return fmt.Sprintf("%s: %v, want %v", at, a, b)
	}
	return ""
}

// notFinite names the first number in a value that is not finite.
func notFinite(v reflect.Value, at string) string {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return fmt.Sprintf("%s is %v", at, f)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return notFinite(v.Elem(), at)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if d := notFinite(v.Field(i), at+"."+v.Type().Field(i).Name); d != "" {
				return d
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if d := notFinite(v.Index(i), fmt.Sprintf("%s[%d]", at, i)); d != "" {
				return d
			}
		}
	}
	return ""
}
