"""How many decimals a currency is paid in.

Source: ISO 4217, list one (codes and minor units), written from memory; the codes that have not two decimals were
compared with a published table made from the same list. A code that is not here has no known decimals, so an amount
in it is refused and two are never assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_CODES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: """AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC
    CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD
    KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO
    NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SOS SRD SSP STN SVC SYP SZL THB
    TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VES WST XCD YER ZAR ZMW""",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
DECIMALS: Mapping[str, int] = MappingProxyType({code: places for places, row in _CODES.items() for code in row.split()})
