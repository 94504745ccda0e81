package browser

import (
	"testing"
	"time"

	"ringtrue/internal/book"
)

// A tap on one screen is on every other at once, and so is what another program puts
// into the book; a line that is being typed stays.
func TestShop_LiveOnEveryScreen(t *testing.T) {
	b := serve(t)
	c := newClient(t, b.base)
	c.take(c.begin("0412"), "heron-refitted.csv")
	browser := startChromium(t)
	one, other := open(t, browser, b.base, phone()), open(t, browser, b.base, desktop())
	one.visit("/shop")
	other.visit("/shop")
	step := `document.querySelector("#turns .step").textContent`
	one.until(step + `.includes("fret 19")`) // what the readings mean comes in by itself
	one.press(`#turns button[value=glued]`)
	other.until(step + `.startsWith("Glue setting until ")`)
	if n := get[int](other, `document.querySelectorAll("#turns li.later").length`); n != 1 {
		t.Errorf("%d necks wait for a time", n)
	}
	other.press("#turns summary")
	other.write("#s0-text", "handed to In")
	if _, err := b.book.AddNotes(t.Context(), []book.Said{{Serial: "0412", Text: "waiting for wire", At: time.Now()}}); err != nil {
		t.Fatal(err)
	}
	one.until(step + ` === "Waiting for wire"`)
	if typed := get[string](other, `document.querySelector("#s0-text").value`); typed != "handed to In" {
		t.Errorf("typed was %q", typed)
	}
	other.keys("es\r")
	one.until(`document.querySelector("#turns").innerText.includes("Ines has it")`)
}
