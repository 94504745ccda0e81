package bench

import (
	"html/template"
	"time"
)

// moment is a time for a page: in UTC, which it says, until the browser's script
// puts it into its own zone.
func moment(at time.Time) template.HTML { return timeTag(at, "2006-01-02 15:04 UTC", "moment") }

// day is moment without the hour.
func day(at time.Time) template.HTML { return timeTag(at, time.DateOnly, "day") }

func timeTag(at time.Time, layout, form string) template.HTML {
	at = at.UTC()
	return template.HTML(`<time datetime="` + at.Format(time.RFC3339) + `" data-form="` + form + `">` + at.Format(layout) + `</time>`)
}
