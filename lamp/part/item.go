package part

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Item is what every part has.
type Item struct {
	// ID names the part in documents: lower case words joined by hyphens.
	ID string `doc:"id,required"`
	// Name says what the part is, in plain words.
	Name string `doc:"name,required"`
	// Note is anything else worth knowing.
	Note string `doc:"note"`
	// Invented marks a part that nobody sells: the built-in starter catalogue.
	Invented bool `doc:"invented"`
	// Price is paid for one pack; the zero Money means unknown.
	Price Money `doc:"price"`
	// Pack is how much one pack holds: pieces, or metres for goods sold by
	// length, or square metres for goods sold by area. 0 stands for 1.
	Pack float64 `doc:"pack"`
}

// PackSize is Pack, or 1 when none is given.
func (i Item) PackSize() float64 {
	if i.Pack == 0 {
		return 1
	}
	return i.Pack
}

// Ident returns the item itself; it lets code treat all parts alike.
func (i Item) Ident() Item { return i }

func (i Item) check(kind string) error {
	if i.ID == "" || strings.ContainsFunc(i.ID, func(r rune) bool {
		return !(r == '-' || r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
	}) {
		return fault(kind, i.ID, "id", strconv.Quote(i.ID), "lower-case letters, digits and hyphens")
	}
	if strings.TrimSpace(i.Name) == "" {
		return fault(kind, i.ID, "name", "nothing", "a few plain words")
	}
	if !(i.Pack >= 0) || math.IsInf(i.Pack, 0) {
		return fault(kind, i.ID, "pack", fmt.Sprint(i.Pack), "a number above 0")
	}
	if i.Price.Cents < 0 {
		return fault(kind, i.ID, "price", i.Price.String(), "0 or more")
	}
	return nil
}

// Money is an amount with its currency as a label; currencies are never
// converted.
type Money struct {
	// Cents is the amount in hundredths.
	Cents int64
	// Currency is a label such as "EUR"; "" only for a zero amount.
	Currency string
}

// Add adds two amounts; it fails when the currencies differ.
func (m Money) Add(n Money) (Money, error) {
	switch {
	case m == Money{}:
		return n, nil
	case n == Money{} || n.Cents == 0:
		return m, nil
	case m.Currency != n.Currency:
		return Money{}, fmt.Errorf("prices in %s and %s cannot be added; give all parts in one currency", m.Currency, n.Currency)
	}
	return Money{m.Cents + n.Cents, m.Currency}, nil
}

// Times multiplies by a whole number of packs.
func (m Money) Times(n int) Money { return Money{m.Cents * int64(n), m.Currency} }

// Amount is the amount in whole units of the currency.
func (m Money) Amount() float64 { return float64(m.Cents) / 100 }

// String shows the amount with two decimals and its currency.
func (m Money) String() string {
	sign := ""
	c := m.Cents
	if c < 0 {
		sign, c = "−", -c
	}
	s := fmt.Sprintf("%s%d.%02d", sign, c/100, c%100)
	switch m.Currency {
	case "":
		return s
	case "EUR":
		return s + "\u202f€"
	}
	return s + "\u202f" + m.Currency
}

// MarshalText writes "14.90 EUR".
func (m Money) MarshalText() ([]byte, error) {
	if m == (Money{}) {
		return nil, nil
	}
	return fmt.Appendf(nil, "%d.%02d %s", m.Cents/100, m.Cents%100, m.Currency), nil
}

// UnmarshalText reads "14.90 EUR", "14,90 €" or "160 EUR".
func (m *Money) UnmarshalText(b []byte) error {
	s := strings.NewReplacer("€", " EUR", "\u202f", " ", "\u00a0", " ").Replace(string(b))
	f := strings.Fields(s)
	if len(f) != 2 {
		return fmt.Errorf("%q is not a price; write for example \"14.90 EUR\"", b)
	}
	if _, err := strconv.ParseFloat(strings.Replace(f[0], ",", ".", 1), 64); err != nil {
		f[0], f[1] = f[1], f[0]
	}
	if strings.ContainsAny(f[1], "0123456789") {
		return fmt.Errorf("%q is not a price; a currency such as EUR stands beside the number", b)
	}
	x, err := strconv.ParseFloat(strings.Replace(f[0], ",", ".", 1), 64)
	if err != nil || x < 0 || !(x < 1e12) {
		return fmt.Errorf("%q is not a price; write for example \"14.90 EUR\"", b)
	}
	m.Cents, m.Currency = int64(math.Round(x*100)), strings.ToUpper(f[1])
	return nil
}

// Fault is one wrong field of a part.
type Fault struct {
	Kind, ID string // which part
	Field    string // its document key
	Found    string // what was found
	Allowed  string // what is allowed, and how to mend it
}

// Error gives one line for a person.
func (f *Fault) Error() string {
	return fmt.Sprintf("%s %q: %s is %s; allowed is %s", f.Kind, f.ID, f.Field, f.Found, f.Allowed)
}

func fault(kind, id, field, found, allowed string) error {
	return &Fault{kind, id, field, found, allowed}
}

// within returns a Fault unless lo ≤ x ≤ hi; shown and limits in the unit of
// the text allowed.
func within(kind, id, field string, x, lo, hi float64, found, allowed string) error {
	if x >= lo && x <= hi { // false for NaN
		return nil
	}
	return fault(kind, id, field, found, allowed)
}
