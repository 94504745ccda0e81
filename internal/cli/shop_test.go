package cli

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestShopFile(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(shopVariable, "")
	t.Setenv(bookVariable, "")
	call := func() *streams { return &streams{in: strings.NewReader(""), out: io.Discard, errOut: io.Discard} }
	book := filepath.Join(dir, "book.db")
	if shop, name, err := call().shopFile(book); err != nil || name != "" || shop.Inches {
		t.Errorf("without a file: %q, %+v, %v", name, shop, err)
	}
	beside := filepath.Join(dir, shopName)
	write := func(path, text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(beside, "units = \"in\"\n")
	if shop, name, err := call().shopFile(book); err != nil || name != beside || !shop.Inches {
		t.Errorf("beside the book: %q, %+v, %v", name, shop, err)
	}
	other := filepath.Join(dir, "other.toml")
	write(other, "[minutes]\nspot = 9\n")
	t.Setenv(shopVariable, other)
	if shop, name, err := call().shopFile(book); err != nil || name != other || shop.Minutes.Spot != 9 {
		t.Errorf("by %s: %q, %+v, %v", shopVariable, name, shop, err)
	}
	s := call()
	s.shop = filepath.Join(dir, "none.toml")
	if _, _, err := s.shopFile(book); err == nil || !strings.Contains(err.Error(), "no such file") {
		t.Errorf("a shop file that is not there: %v", err)
	}
}

// A call reads its shop file once: from standard input there is no second time.
func TestShopFile_Once(t *testing.T) {
	s := &streams{in: strings.NewReader("units = \"in\"\n"), out: io.Discard, errOut: io.Discard, shop: "-"}
	for range 2 {
		if shop, _, err := s.shopFile(""); err != nil || !shop.Inches {
			t.Errorf("%+v, %v", shop, err)
		}
	}
}

func TestExampleShop(t *testing.T) {
	s := &streams{shop: filepath.Join("..", "..", "examples", shopName)}
	if _, _, err := s.shopFile(""); err != nil {
		t.Error(err)
	}
}
