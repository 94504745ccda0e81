package text

// FilingCare is the caution of the listing where metal is filed.
const FilingCare = "Filings and nickel dust: extraction, keep them off eyes and skin, and follow the wire's label and the local rules."

// AfterFiling is what filing asks of whoever does it, as a picture says it.
const AfterFiling = "After filing: crown, polish, read again. Filings and nickel dust: draw them off, keep them from eyes and skin; the wire's label and local rules go first."
