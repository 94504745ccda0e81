package cli

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/text"
)

// shopVariable names the shop file where --shop does not.
const shopVariable = "RINGTRUE_SHOP"

// shopName is the shop file's name beside the book.
const shopName = "shop.toml"

// shopFile reads the shop file: --shop, RINGTRUE_SHOP, else shop.toml beside the book
// at where ("": the usual one). A shop without one is as usual; name is "" then. A call
// has one shop, so its file is read once.
func (s *streams) shopFile(where string) (shop neck.Shop, name string, err error) {
	if s.shopRead == nil {
		if s.shopRead, err = s.readShop(where); err != nil {
			return neck.Shop{}, "", err
		}
	}
	return s.shopRead.shop, s.shopRead.name, nil
}

// shopRead is a shop file that was read.
type shopRead struct {
	shop neck.Shop
	name string // "": there is none
	data []byte
}

func (s *streams) readShop(where string) (*shopRead, error) {
	name := s.shop
	if name == "" {
		name = os.Getenv(shopVariable)
	}
	if name == "" {
		if name = besideBook(where); name == "" || missing(name) {
			return &shopRead{shop: neck.UsualShop()}, nil
		}
	}
	data, err := s.readFile(name, "shop", neck.MaxBytes)
	if err != nil {
		return nil, err
	}
	shop, err := neck.ParseShop(shown(name), data)
	return &shopRead{shop, name, data}, err
}

// shopFor is the shop for work on a neck: every beam has to lie on three of its
// frets somewhere.
func (s *streams) shopFor(where string, l *geometry.Layout) (neck.Shop, error) {
	shop, name, err := s.shopFile(where)
	if err != nil || name == "" {
		return shop, err
	}
	short, least := findings.ShortBeams(shop, l)
	if len(short) == 0 {
		return shop, nil
	}
	const key = "tools.beams"
	return shop, fileerr.Fault{File: shown(name), Line: neck.Line(s.shopRead.data, key), Key: key, Msg: text.ShortBeam(short[0], least)}
}

// besideBook is where the shop file of a book lies: in its folder, or where a maker
// keeps an own book; "" where there is no such folder.
func besideBook(where string) string {
	if where == "" {
		where = os.Getenv(bookVariable)
	}
	if where == "" || strings.Contains(where, "://") {
		own, err := ownBook(runtime.GOOS, os.Getenv, os.UserHomeDir)
		if err != nil {
			return ""
		}
		where = own
	}
	return filepath.Join(filepath.Dir(where), shopName)
}

// missing reports whether there is no file; what is wrong with the book's folder is
// the book's to say.
func missing(path string) bool {
	_, err := os.Stat(path)
	return err != nil
}
