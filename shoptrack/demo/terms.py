"""What the quotes of the invented shop ask for, and what a year costs it; all of it invented."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from shoptrack.store.tables import HourCostRow, TermsRow

LATER = timedelta(days=300)
"""When wages, rates and margin went up."""
TAX_BP, TAX_NAME = 650, "sales tax"
LEAST_CENTS = 6000
DEPOSIT_BP = 3000
VALID_DAYS = 21
MARGINS_BP = (2800, 3200)
WASTES_BP = (2000, 2200)
YEARS_CENTS = ((11_400_000, 1_368_000, 900_000, 3_560_000), (12_200_000, 1_464_000, 980_000, 3_836_000))
"""Wages, taxes on them, benefits and overhead of a year."""
PAID_H = 4900.0
ON_JOBS_BP = 7100


def write_terms(session: Session, opened_on: date) -> None:
    """Say the terms and the year from the shop's first day, and both anew once."""
    for from_on, margin_bp, waste_bp, year in zip(
        (opened_on, opened_on + LATER), MARGINS_BP, WASTES_BP, YEARS_CENTS, strict=True
    ):
        session.add(_terms(from_on, margin_bp, waste_bp))
        wages, taxes, benefits, overhead = year
        session.add(
            HourCostRow(
                from_on=from_on,
                wages_cents=wages,
                taxes_cents=taxes,
                benefits_cents=benefits,
                overhead_cents=overhead,
                paid_h=PAID_H,
                on_jobs_bp=ON_JOBS_BP,
            )
        )


def _terms(from_on: date, margin_bp: int, waste_bp: int) -> TermsRow:
    return TermsRow(
        from_on=from_on,
        margin_bp=margin_bp,
        waste_bp=waste_bp,
        tax_bp=TAX_BP,
        tax_name=TAX_NAME,
        least_cents=LEAST_CENTS,
        deposit_bp=DEPOSIT_BP,
        valid_days=VALID_DAYS,
    )
