package neck

import "testing"

func TestLine(t *testing.T) {
	data := []byte("name = \"x\"\n\n[board]\nwood = \"ebony\"\n\n[wire]\nalloy = \"C75200\"\n")
	for key, want := range map[string]int{"board.wood": 4, "board.sawn": 3, "wire.alloy": 7, "slot.width": 0, "name": 1} {
		if got := Line(data, key); got != want {
			t.Errorf("%s: line %d, want %d", key, got, want)
		}
	}
	if got := Line([]byte("= broken"), "board.wood"); got != 0 {
		t.Errorf("a broken file: line %d", got)
	}
}
