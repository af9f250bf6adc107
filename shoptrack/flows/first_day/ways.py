"""A time zone → how shops of its country mostly write lengths, warmth, the time of day and money."""

from dataclasses import dataclass
from typing import Literal

from shoptrack.store.zones import countries_of_zones

# Who works in inches and writes °F or 2 pm: common practice and from memory. Only a first guess for a form.
_INCHES = frozenset(("US", "CA", "PR", "GU", "VI", "AS", "MP"))
_FAHRENHEIT = (_INCHES - {"CA"}) | {"BS", "BZ", "KY", "PW", "FM", "MH"}
_TWELVE = _FAHRENHEIT | {"CA", "AU", "NZ", "IE", "IN", "PK", "BD", "PH", "MY", "EG", "SA", "JO", "CO", "MX"}

# What is paid with where, from memory.
_PAID = """
EUR AT BE BG HR CY EE FI FR DE GR IE IT LV LT LU MT NL PT SK SI ES AD MC SM VA ME XK GP MQ GF RE YT PM BL MF
EUR AX
USD US PR GU VI AS MP EC SV PA FM MH PW TL TC VG BQ
GBP GB JE GG IM
AUD AU KI NR TV CX CC NF
NZD NZ CK NU TK PN
CHF CH LI
NOK NO SJ BV
DKK DK FO GL
XOF BJ BF CI GW ML NE SN TG
XAF CM CF TD CG GQ GA
XCD AG DM GD KN LC VC AI MS
XPF PF NC WF
XCG CW SX
ILS IL PS
MAD MA EH
AED AE|AFN AF|ALL AL|AMD AM|AOA AO|ARS AR|AWG AW|AZN AZ|BAM BA|BBD BB|BDT BD|BHD BH|BIF BI|BMD BM
BND BN|BOB BO|BRL BR|BSD BS|BTN BT|BWP BW|BYN BY|BZD BZ|CAD CA|CDF CD|CLP CL|CNY CN|COP CO|CRC CR
CUP CU|CVE CV|CZK CZ|DJF DJ|DOP DO|DZD DZ|EGP EG|ERN ER|ETB ET|FJD FJ|FKP FK|GEL GE|GHS GH|GIP GI
GMD GM|GNF GN|GTQ GT|GYD GY|HKD HK|HNL HN|HTG HT|HUF HU|IDR ID|INR IN|IQD IQ|IRR IR|ISK IS|JMD JM
JOD JO|JPY JP|KES KE|KGS KG|KHR KH|KMF KM|KPW KP|KRW KR|KWD KW|KYD KY|KZT KZ|LAK LA|LBP LB|LKR LK
LRD LR|LSL LS|LYD LY|MDL MD|MGA MG|MKD MK|MMK MM|MNT MN|MOP MO|MRU MR|MUR MU|MVR MV|MWK MW|MXN MX
MYR MY|MZN MZ|NAD NA|NGN NG|NIO NI|NPR NP|OMR OM|PEN PE|PGK PG|PHP PH|PKR PK|PLN PL|PYG PY|QAR QA
RON RO|RSD RS|RUB RU|RWF RW|SAR SA|SBD SB|SCR SC|SDG SD|SEK SE|SGD SG|SHP SH|SLE SL|SOS SO|SRD SR
SSP SS|STN ST|SYP SY|SZL SZ|THB TH|TJS TJ|TMT TM|TND TN|TOP TO|TRY TR|TTD TT|TWD TW|TZS TZ|UAH UA
UGX UG|UYU UY|UZS UZ|VES VE|VND VN|VUV VU|WST WS|YER YE|ZAR ZA|ZMW ZM
"""

_MONEY = {
    country: entry[:3]
    for line in _PAID.split("\n")
    for entry in line.split("|")
    for country in entry[4:].split()
}


@dataclass(frozen=True, slots=True)
class Ways:
    """How a shop writes lengths, temperatures, money and times of day."""

    length_unit: Literal["in", "mm"]
    temperature_unit: Literal["F", "C"]
    currency: str
    clock_24h: bool


def ways_of(zone: str) -> Ways:
    """What the form of a new shop is filled with, by the country that its zone lies in.

    Takes a zone's name. Gives millimetres, °C, 24 hours and euro where the zone lies in no country.
    """
    country = countries_of_zones().get(zone, "")
    return Ways(
        length_unit="in" if country in _INCHES else "mm",
        temperature_unit="F" if country in _FAHRENHEIT else "C",
        currency=_MONEY.get(country, "EUR"),
        clock_24h=country not in _TWELVE,
    )
