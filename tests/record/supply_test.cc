// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/supply.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <unistd.h>

#include <cmath>
#include <deque>
#include <string>
#include <vector>

#include "ohmglow/base/error.h"
#include "record/prepare_supply.h"
#include "support/temp_folder.h"

namespace ohmglow::record {
namespace {

TEST(SupplyAddress, IsReadAsItIsWritten) {
  const SupplyAddress tcp = ParseSupplyAddress("tcp:192.0.2.7:5025");
  EXPECT_EQ(tcp.kind, SupplyAddress::Kind::kTcp);
  EXPECT_EQ(tcp.host, "192.0.2.7");
  EXPECT_EQ(tcp.port, "5025");
  EXPECT_EQ(ParseSupplyAddress("tcp:[2001:db8::1]:5025").host, "2001:db8::1");
  const SupplyAddress serial = ParseSupplyAddress("serial:/dev/ttyUSB0:115200");
  EXPECT_EQ(serial.kind, SupplyAddress::Kind::kSerial);
  EXPECT_EQ(serial.device, "/dev/ttyUSB0");
  EXPECT_EQ(serial.baud, 115200);
  EXPECT_EQ(ParseSupplyAddress("serial:/dev/ttyS0").baud, 9600);
  EXPECT_EQ(ParseSupplyAddress("usbtmc:/dev/usbtmc0").kind, SupplyAddress::Kind::kUsbtmc);
}

TEST(SupplyAddress, RefusesOthers) {
  for (const char* text : {"",
                           "tcp",
                           "tcp:",
                           "tcp:host",
                           "tcp::5025",
                           "tcp:host:0",
                           "tcp:host:x",
                           "tcp:host:70000",
                           "serial:",
                           "serial:/dev/ttyS0:fast",
                           "usbtmc:",
                           "gpib:7"}) {
    EXPECT_THROW((void)ParseSupplyAddress(text), OptionError) << text;
  }
}

TEST(SupplyAddress, WhereNobodyListensIsSaid) {
  EXPECT_THROW((void)OpenLink(ParseSupplyAddress("tcp:127.0.0.1:1"), 0.5), InputError);
  EXPECT_THROW((void)OpenLink(ParseSupplyAddress("serial:/no/such"), 0.5), InputError);
  EXPECT_THROW((void)OpenLink(ParseSupplyAddress("usbtmc:/no/such"), 0.5), InputError);
}

// A pseudo-terminal stands for the line: its other end is the instrument.
TEST(Link, SpeaksThroughASerialLine) {
  const int instrument = posix_openpt(O_RDWR | O_NOCTTY);
  ASSERT_GE(instrument, 0);
  ASSERT_EQ(grantpt(instrument), 0);
  ASSERT_EQ(unlockpt(instrument), 0);
  const auto link = OpenLink(ParseSupplyAddress(std::string("serial:") + ptsname(instrument)), 0.5);
  ASSERT_TRUE(link->Write("*IDN?\n"));
  char asked[16] = {};
  ASSERT_EQ(read(instrument, asked, sizeof asked), 6);
  EXPECT_STREQ(asked, "*IDN?\n");
  std::string line;
  EXPECT_EQ(link->ReadLine(NowSeconds() + 0.05, -1, {}, line), ReadEnd::kTimeout);
  ASSERT_EQ(write(instrument, "a,b\r\nc", 6), 6);
  // However late this process is: what has come was in time.
  EXPECT_EQ(link->ReadLine(NowSeconds() - 1, -1, {}, line), ReadEnd::kLine);
  EXPECT_EQ(line, "a,b");
  close(instrument);
  EXPECT_EQ(link->ReadLine(NowSeconds() + 1, -1, {}, line), ReadEnd::kLost);
}

TEST(SupplyWords, AreTheStandardOnesWhereAFileSaysNothing) {
  const testing::TempFolder folder;
  const SupplyWords words = ReadSupplyWords(folder.Write(
      "words.ini", "start = INST:NSEL 2\nset_amps = SOUR:CURR:LEV {}\nanswer_s = 0.2\n"));
  EXPECT_EQ(words.start, "INST:NSEL 2");
  EXPECT_EQ(words.set_amps, "SOUR:CURR:LEV {}");
  EXPECT_EQ(words.set_volts, "VOLT {}");
  EXPECT_EQ(words.identify, "*IDN?");  // IEEE 488.2, 10.14 (from memory).
  EXPECT_EQ(words.answer_s, 0.2);
}

TEST(SupplyWords, RefusesWhatCannotBeGuarded) {
  const testing::TempFolder folder;
  for (const char* text : {"set_amps = CURR\n",
                           "answer_s = 2\n",
                           "answer_s = soon\n",
                           "off =\n",
                           "line_end = cr\n",
                           "colour = red\n"}) {
    EXPECT_THROW((void)ReadSupplyWords(folder.Write("words.ini", text)), InputError) << text;
  }
}

// A supply on paper: what it was told, and what it will answer.
class PaperLink final : public Link {
 public:
  bool Write(std::string_view text) override {
    said.emplace_back(text);
    return !broken;
  }
  ReadEnd ReadLine(double, int, const std::function<bool()>&, std::string& line) override {
    if (answers.empty()) return ReadEnd::kTimeout;
    line = answers.front();
    answers.pop_front();
    return ReadEnd::kLine;
  }
  std::vector<std::string> said;
  std::deque<std::string> answers;
  bool broken = false;
};

TEST(Supply, SetsAndReadsBack) {
  PaperLink link;
  Supply supply(link, {});
  link.answers = {"1.250"};
  EXPECT_EQ(supply.SetAmps(1.25), "");
  EXPECT_EQ(link.said, (std::vector<std::string>{"CURR 1.2500\n", "CURR?\n"}));
  link.answers = {"1.0"};
  EXPECT_NE(supply.SetAmps(1.25), "");
  link.answers = {"nonsense"};
  EXPECT_NE(supply.SetVolts(5), "");
}

// Numbers as instruments answer them: NR1, NR2, NR3 of IEEE 488.2, 8.7 (from memory), and with a
// unit.
TEST(Supply, ReadsNumbersAsInstrumentsWriteThem) {
  PaperLink link;
  Supply supply(link, {});
  for (const char* text : {"1.5",
                           "+1.5",
                           " 1.500",
                           "1.5E+00",
                           "+1.50000000E+00",
                           "1.5V",
                           "1.5 V",
                           "\r1.5 ",
                           "\"1.5\"",
                           "\t+1.500E+00\r"}) {
    link.answers = {text};
    EXPECT_NEAR(supply.MeasureVolts(), 1.5, 1e-12) << text;
  }
  link.answers = {"nothing"};
  EXPECT_TRUE(std::isnan(supply.MeasureVolts()));
  // The empty line is the rest of another end of line, "\n\r" say.
  link.answers = {"\r", "1.5"};
  EXPECT_NEAR(supply.MeasureVolts(), 1.5, 1e-12);
}

TEST(Supply, TellsOffOnlyWhereItIsSaid) {
  PaperLink link;
  Supply supply(link, {});
  for (const char* text : {"0", "OFF", "+0", " 0 ", "\"OFF\"", "Off\r"}) {
    link.answers = {text};
    EXPECT_FALSE(supply.ReadOutput()) << text;
  }
  for (const char* text : {"1", "ON", "0.000", "0.0V", "00", "0,0"}) {
    link.answers = {text};
    EXPECT_TRUE(supply.ReadOutput()) << text;
  }
}

// Ready, or refused with the reason.
std::optional<Trip> Prepare(std::deque<std::string> answers, Readiness& ready) {
  PaperLink link;
  link.answers = std::move(answers);
  Supply supply(link, {});
  return PrepareSupply(supply, {5, 2, 15, 60, 60}, ready);
}

TEST(PrepareSupply, TellsWhatCannotBeUsed) {
  Readiness ready;
  std::deque<std::string> good{"a,b", "0", "0,\"No error\"", "5.000", "2.000", "0.0", "0.0"};
  for (int k = 0; k < 3; ++k) good.insert(good.end(), {"0.0", "0.0", "0"});
  EXPECT_FALSE(Prepare(good, ready));
  EXPECT_EQ(ready.identity, "a,b");
  EXPECT_NEAR(ready.off_s, 0.07, 0.01);  // Answers on paper take no time.
  const auto cause = [&](std::size_t at, const char* answer) {
    auto answers = good;
    answers[at] = answer;
    return Prepare(answers, ready).value_or(Trip{}).cause;
  };
  EXPECT_EQ(cause(1, "1"), Cause::kCannotBeOff);
  EXPECT_EQ(cause(3, "4.0"), Cause::kBeyondSupply);
  EXPECT_EQ(cause(4, "1.0"), Cause::kBeyondSupply);
  EXPECT_EQ(cause(5, "12"), Cause::kFlowsWhileOff);
  EXPECT_EQ(cause(6, "0.3"), Cause::kFlowsWhileOff);
  EXPECT_EQ(cause(6, "-0.3"), Cause::kFlowsWhileOff);
}

TEST(Supply, ALateAnswerIsNotTakenForAnother) {
  PaperLink link;
  Supply supply(link, {});
  EXPECT_THROW((void)supply.MeasureVolts(), SupplySilence);
  link.answers = {"0", "1"};  // The volts, late; then the output: on.
  EXPECT_TRUE(supply.ReadOutput());
}

TEST(Supply, ReadsTheErrorQueue) {
  PaperLink link;
  Supply supply(link, {});
  // SCPI-1999, vol. 2, 21.8 (seen quoted): number, then text; 0 is no error.
  for (const char* text : {"0,\"No error\"", "+0,\"No error\""}) {
    link.answers = {text};
    EXPECT_EQ(supply.ReadError(), "");
  }
  link.answers = {"-222,\"Data out of range\""};
  EXPECT_EQ(supply.ReadError(), "-222,\"Data out of range\"");
}

TEST(Supply, ABrokenConnectionIsToldApartFromSilence) {
  PaperLink link;
  Supply supply(link, {});
  try {
    (void)supply.MeasureAmps();
    FAIL();
  } catch (const SupplySilence& silence) {
    EXPECT_FALSE(silence.lost);
  }
  link.broken = true;
  try {
    (void)supply.MeasureAmps();
    FAIL();
  } catch (const SupplySilence& silence) {
    EXPECT_TRUE(silence.lost);
  }
}

}  // namespace
}  // namespace ohmglow::record
