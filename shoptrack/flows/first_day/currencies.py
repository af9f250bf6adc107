"""The currencies that a shop may reckon in: their three letters with a plain name."""

from shoptrack.engine.units import decimals_of

# ISO 4217, from memory: what is paid with today; metals, funds and units of account are left out.
_LISTED = """
AED UAE dirham|AFN Afghan afghani|ALL Albanian lek|AMD Armenian dram|AOA Angolan kwanza|ARS Argentine peso
AUD Australian dollar|AWG Aruban florin|AZN Azerbaijani manat|BAM Bosnian convertible mark
BBD Barbados dollar|BDT Bangladeshi taka|BHD Bahraini dinar|BIF Burundian franc|BMD Bermudian dollar
BND Brunei dollar|BOB Bolivian boliviano|BRL Brazilian real|BSD Bahamian dollar|BTN Bhutanese ngultrum
BWP Botswana pula|BYN Belarusian ruble|BZD Belize dollar|CAD Canadian dollar|CDF Congolese franc
CHF Swiss franc|CLP Chilean peso|CNY Chinese yuan|COP Colombian peso|CRC Costa Rican colón|CUP Cuban peso
CVE Cape Verde escudo|CZK Czech koruna|DJF Djibouti franc|DKK Danish krone|DOP Dominican peso
DZD Algerian dinar|EGP Egyptian pound|ERN Eritrean nakfa|ETB Ethiopian birr|EUR euro|FJD Fiji dollar
FKP Falkland Islands pound|GBP pound sterling|GEL Georgian lari|GHS Ghanaian cedi|GIP Gibraltar pound
GMD Gambian dalasi|GNF Guinean franc|GTQ Guatemalan quetzal|GYD Guyanese dollar|HKD Hong Kong dollar
HNL Honduran lempira|HTG Haitian gourde|HUF Hungarian forint|IDR Indonesian rupiah|ILS Israeli shekel
INR Indian rupee|IQD Iraqi dinar|IRR Iranian rial|ISK Icelandic króna|JMD Jamaican dollar
JOD Jordanian dinar|JPY Japanese yen|KES Kenyan shilling|KGS Kyrgyz som|KHR Cambodian riel
KMF Comorian franc|KPW North Korean won|KRW South Korean won|KWD Kuwaiti dinar|KYD Cayman Islands dollar
KZT Kazakh tenge|LAK Lao kip|LBP Lebanese pound|LKR Sri Lankan rupee|LRD Liberian dollar|LSL Lesotho loti
LYD Libyan dinar|MAD Moroccan dirham|MDL Moldovan leu|MGA Malagasy ariary|MKD Macedonian denar
MMK Myanmar kyat|MNT Mongolian tögrög|MOP Macau pataca|MRU Mauritanian ouguiya|MUR Mauritian rupee
MVR Maldivian rufiyaa|MWK Malawian kwacha|MXN Mexican peso|MYR Malaysian ringgit|MZN Mozambican metical
NAD Namibian dollar|NGN Nigerian naira|NIO Nicaraguan córdoba|NOK Norwegian krone|NPR Nepalese rupee
NZD New Zealand dollar|OMR Omani rial|PAB Panamanian balboa|PEN Peruvian sol|PGK Papua New Guinean kina
PHP Philippine peso|PKR Pakistani rupee|PLN Polish złoty|PYG Paraguayan guaraní|QAR Qatari riyal
RON Romanian leu|RSD Serbian dinar|RUB Russian ruble|RWF Rwandan franc|SAR Saudi riyal
SBD Solomon Islands dollar|SCR Seychelles rupee|SDG Sudanese pound|SEK Swedish krona|SGD Singapore dollar
SHP Saint Helena pound|SLE Sierra Leonean leone|SOS Somali shilling|SRD Surinamese dollar
SSP South Sudanese pound|STN São Tomé dobra|SYP Syrian pound|SZL Swazi lilangeni|THB Thai baht
TJS Tajik somoni|TMT Turkmen manat|TND Tunisian dinar|TOP Tongan paʻanga|TRY Turkish lira
TTD Trinidad and Tobago dollar|TWD New Taiwan dollar|TZS Tanzanian shilling|UAH Ukrainian hryvnia
UGX Ugandan shilling|USD US dollar|UYU Uruguayan peso|UZS Uzbek sum|VES Venezuelan bolívar
VND Vietnamese đồng|VUV Vanuatu vatu|WST Samoan tala|XAF Central African franc|XCD East Caribbean dollar
XCG Caribbean guilder|XOF West African franc|XPF Pacific franc|YER Yemeni rial
ZAR South African rand|ZMW Zambian kwacha
"""

CURRENCIES: dict[str, str] = {
    entry[:3]: entry[4:] for line in _LISTED.split("\n") for entry in line.split("|") if entry
}
"""Plain names by their three letters, in the order of those."""


def listed_currencies() -> tuple[tuple[str, str], ...]:
    """Each currency's letters with the words for a list, which say how many decimals where it is not two."""
    said = {0: ", no decimals", 2: "", 3: ", three decimals"}
    return tuple((code, f"{code} – {name}{said[decimals_of(code)]}") for code, name in CURRENCIES.items())
