"""What tools/messages refuses: each fault put into a copy of the catalogue, one at a time."""
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest
from importlib.machinery import SourceFileLoader

ROOT = pathlib.Path(__file__).resolve().parents[2]
# Where messages are said, as the program itself has it.
SAYERS = SourceFileLoader("messages", str(ROOT / "tools/messages")).load_module().SAYERS


class Catalogue(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp())
        for part in ("text", *SAYERS):
            shutil.copytree(ROOT / part, self.folder / part)
        (self.folder / "tools").mkdir()
        shutil.copy(ROOT / "tools/messages", self.folder / "tools/messages")

    def tearDown(self):
        shutil.rmtree(self.folder)

    def check(self):
        ended = subprocess.run([sys.executable, self.folder / "tools/messages", "check"], capture_output=True, text=True)
        return ended.returncode, ended.stderr

    def change(self, path, before, after):
        file = self.folder / path
        text = file.read_text()
        self.assertIn(before, text)
        file.write_text(text.replace(before, after, 1))

    def refused(self, says):
        code, said = self.check()
        self.assertNotEqual(code, 0)
        self.assertIn(says, said)

    def test_as_it_is_it_is_whole(self):
        self.assertEqual(self.check(), (0, ""))

    def test_a_message_without_its_pattern(self):
        self.change("text/es.toml", "weigh_again =", "weigh_agin =")
        self.refused("no pattern for weigh_again")
        self.refused("weigh_agin is no message")

    def test_an_argument_that_is_missed_or_unknown(self):
        self.change("text/es.toml", "{years, plural, one {# año} other {# años}}", "años")
        self.refused("age_in_years: it misses years")
        self.change("text/es.toml", '"años"', '"{yeras} años"')
        self.refused("the argument yeras is not declared")

    def test_an_argument_against_its_type(self):
        self.change("text/en.toml", '"{years} y"', '"{years, select, other {y}}"')
        self.refused("years is no enumerator")
        self.change("text/en.toml", '"{symbol}"', '"{symbol, plural, one {#} other {#}}"')
        self.refused("symbol is no count")
        self.change("text/en.toml", "other {other}} ({note})", "other {other}} ({note}, {reason})")
        self.refused("reason is an enumerator")

    def test_an_enumerator_without_words(self):
        self.change("text/es.toml", "scalp {cuero", "scalpp {cuero")
        self.refused("Region has no scalpp")
        self.change("core/limb/limb.h", "antecubital, upper_arm, foot", "antecubital, upper_arm, toe, foot")
        self.change("text/es.toml", "scalpp {cuero", "scalp {cuero")
        self.refused("no words for toe of access::Region")

    def test_a_plural_that_the_language_needs(self):
        self.change("text/es.toml", 'plurals = ["one", "other"]', 'plurals = ["one", "many", "other"]')
        self.refused("age_in_months: the plural many is missing")

    def test_a_message_that_nothing_says(self):
        self.change("core/growth/weight_question.cc", "say::weight_or_age_unknown()", '"unknown"')
        self.refused("no source says weight_or_age_unknown")

    def test_a_unit_without_words(self):
        self.change("core/quantity/unit_names.cc", 'UnitName{"[iU]", "units"', 'UnitName{"[iU]", "u."')
        self.refused("no words for the unit u.")

    def test_what_is_no_pattern(self):
        self.change("text/en.toml", '"{quantity}"', '"{quantity"')
        self.refused("quantity: ")
        self.change("text/en.toml", '"{quantity"', '"{quantity, number}"')
        self.refused("'number' is not used here")

    def test_a_parameter_of_no_type(self):
        self.change("text/messages/age.toml", 'years = "count"', 'years = "counted"')
        self.refused("age_in_years: parameter years")


if __name__ == "__main__":
    unittest.main()
