"""The works that formulas are taken from, each with its mark."""

from dataclasses import dataclass

READ = "read"
FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice"


@dataclass(frozen=True)
class Source:
    """Where a formula comes from, and how surely: read, from memory, or common practice."""

    work: str
    mark: str

    def __str__(self) -> str:
        return f"{self.work} ({self.mark})" if self.work else self.mark


COMMON = Source("", COMMON_PRACTICE)
BY_DEFINITION = "by definition"
DEFINITION = Source(BY_DEFINITION, COMMON_PRACTICE)
ISSCT = Source("System of Cane Sugar Factory Control, ISSCT, 3rd ed. 1971", FROM_MEMORY)
HUGOT = Source("Hugot, Handbook of Cane Sugar Engineering, 3rd ed. 1986", FROM_MEMORY)
DEERR = Source("Deerr, Cane Sugar, 1921", FROM_MEMORY)
SJM = Source("Deerr 1921, as stated by L. Wong, PhD thesis, Mauritius", READ)
WINTER_CARP = Source(
    "Sugar Industry Research Institute, Jamaica, core-sampling note: 1.4 - 40/Q", READ
)
SASTA = Source("Laboratory Manual, SASTA, 5th ed. 2009, ch. 1", READ)
SMRI = Source("Smith, SMRI 1995, as quoted by Rein, Cane Sugar Engineering, 2007", FROM_MEMORY)
GUNDU_RAO = Source("Gundu Rao's method; formula by algebra from the s-j-m rule", FROM_MEMORY)
MOLASSES_TRADE = Source(
    "85 °Bx in South African statistics, 86 °Bx in the Mauritian trade", COMMON_PRACTICE
)
DENSITY = Source("Bettin, Emmerich and Spieweck 1998 (ICUMSA SPS-4)", READ)
REIN = Source("Rein, Cane Sugar Engineering, 2007", FROM_MEMORY)
