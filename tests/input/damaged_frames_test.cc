// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <cmath>
#include <fstream>
#include <functional>
#include <iterator>

#include "case_folder.h"
#include "expect_error.h"
#include "input/archive_files.h"
#include "input/count_pages.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::ExpectError;
using testing::RampPage;
using testing::TempFolder;
using testing::WriteTiff;
using std::string_literals::operator""s;

// A file of frames and the whole of the message, but for the folder, that it must give.
struct Damaged {
  const char* name;
  std::string bytes;
  std::string message;
};

std::string Npy(const std::string& dictionary, const std::string& data) {
  std::string header = dictionary;
  header.resize(117, ' ');
  return "\x93NUMPY\x01\x00"s + static_cast<char>(header.size() + 1) + '\0' + header + '\n' + data;
}

std::string Fits(const std::vector<std::string>& cards, const std::string& data) {
  std::string header;
  for (std::string card : cards) {
    card.resize(80, ' ');
    header += card;
  }
  header += "END";
  header.resize((header.size() + 2879) / 2880 * 2880, ' ');
  return header + data;
}

// A tar header of 512 bytes for a member of `size` bytes: POSIX ustar.
std::string Tar(const std::string& name, const std::string& data, char kind = '0') {
  std::string header(512, '\0');
  header.replace(0, name.size(), name);
  header.replace(100, 7, "0000644");
  const auto octal = [](std::size_t value) {
    std::string text(11, '0');
    for (std::size_t i = 11; i-- > 0; value /= 8) text[i] = static_cast<char>('0' + value % 8);
    return text;
  };
  header.replace(124, 11, octal(data.size()));
  header.replace(136, 11, octal(0));
  header[156] = kind;
  header.replace(257, 8, "ustar\00000"s);
  header.replace(148, 8, "        ");
  std::size_t sum = 0;
  for (const char c : header) sum += static_cast<unsigned char>(c);
  header.replace(148, 7, octal(sum).substr(5) + '\0');
  std::string body = data;
  body.resize((data.size() + 511) / 512 * 512, '\0');
  return header + body;
}

const std::string kDict = "{'descr': '<u2', 'fortran_order': False, 'shape': ";

std::vector<Damaged> DamagedFiles() {
  const std::string png = EncodePng(RampPage(0, {30, 30}, CV_16U));
  std::string wide_png = png;
  wide_png.replace(16, 4, "\x7F\xFF\xFF\xFF");
  std::string flat_png = png;
  flat_png[24] = 1;
  const std::string copy = "the picture is cut short or damaged; copy it again";
  const std::string pgm = "is no binary grey PGM (P5 width height maximum); save it as such";
  const std::string numbers =
      "holds no rows of numbers; a frame is a table of values, one row a line";
  const std::string fits = "is no FITS file that can be read; it is damaged, copy it again";
  // Two compressed images (FITS 4.0, section 10.1) that promise far more than they hold.
  const std::string promise =
      Fits({"XTENSION= 'BINTABLE'",           "BITPIX  =                    8",
            "NAXIS   =                    2", "NAXIS1  =                    8",
            "NAXIS2  =                    1", "PCOUNT  =                    0",
            "GCOUNT  =                    1", "TFIELDS =                    1",
            "TTYPE1  = 'COMPRESSED_DATA'",    "TFORM1  = '1PB(0)  '",
            "ZIMAGE  =                    T", "ZBITPIX =                   16",
            "ZNAXIS  =                    3", "ZNAXIS1 =                    8",
            "ZNAXIS2 =                    8", "ZNAXIS3 =              9999999",
            "ZTILE1  =                    8", "ZTILE2  =                    8",
            "ZTILE3  =              9999999", "ZCMPTYPE= 'GZIP_1  '"},
           std::string(2880, '\0'));
  const std::string many_planes = Fits({"SIMPLE  =                    T",
                                        "BITPIX  =                    8",
                                        "NAXIS   =                    0",
                                        "EXTEND  =                    T"},
                                       promise + promise);
  const std::string no_image =
      "holds no image of numbers of two or three axes; save the frames as an image or a cube";
  return {
      {"empty.tiff", "", "empty.tiff: is empty; copy it again"},
      {"short.png", png.substr(0, 20), "short.png: " + copy},
      {"half.png", png.substr(0, png.size() / 2), "half.png: " + copy},
      {"end.png", png.substr(0, png.size() - 6), "end.png: " + copy},
      {"wide.png",
       wide_png,
       "wide.png: a size of 2147483647 x 30 px is not believable (1 .. 16384 a side); is the file "
       "damaged?"},
      {"one_bit.png",
       flat_png,
       "one_bit.png: is not a grey picture of 8 or 16 bits (colour type 0, 1 bits); save the "
       "measured "
       "values, not the picture"},
      {"a.pgm", "P5 2 x\n", "a.pgm, page 1: " + pgm},
      {"b.pgm", "P5 2 2", "b.pgm, page 1: " + pgm},
      {"c.pgm",
       "P5 2 2 255\n\x01",
       "c.pgm, page 1: the file is cut short here (12 of 15 bytes); copy it again"},
      {"d.pgm",
       "P5 99999 2 255\n",
       "d.pgm, page 1: a size of 99999 x 2 px is not believable (1 .. 16384 a side); is the file "
       "damaged?"},
      {"e.pgm",
       "P5 2 1 70000\n\x01\x02",
       "e.pgm, page 1: its maximum 70000 is outside 1 .. 65535; write the file again"},
      {"f.pgm",
       "P5 1 1 255\n\x01P5 2 1 255\n\x01\x02",
       "f.pgm, page 2: differs from page 1 in size or depth; all frames must be alike"},
      {"g.pgm", "P2 2 2 255\n1 2 3 ", "g.pgm: the file is cut short; copy it again"},
      {"h.pgm", "P2 1 2 9\n1 20 ", "h.pgm: holds 20, more than its maximum; write the file again"},
      {"i.pgm", "P2 900 900 255\n1", "i.pgm: the file is cut short; copy it again"},
      {"a.pfm", "PF 2 2 -1\n", "a.pfm: is a colour PFM; save the measured values as one channel"},
      {"b.pfm",
       "Pf 2 2 0\n",
       "b.pfm: its header is damaged (Pf width height scale); copy it again"},
      {"c.pfm",
       "Pf 2 2 -1\n\x01",
       "c.pfm, page 1: the file is cut short here (11 of 26 bytes); copy it again"},
      {"a.npy",
       "\x93NUMPY\x01\x00\xFF\x01{'desc"s,
       "a.npy: its header is cut short; copy it again"},
      {"b.npy", "\x93NUMPY\x01"s, "b.npy: is no NPY file"},
      {"c.npy",
       Npy("{'shape': (1, 2), }", ""),
       "c.npy: holds samples of type ''; save it as whole numbers or floats ('<u2', '<f4', ...)"},
      {"d.npy", Npy("{'descr': '<u2', }", ""), "d.npy: has no shape"},
      {"e.npy",
       Npy(kDict + "(2,), }", ""),
       "e.npy: has 1 dimensions; save it as (frames, height, width) or (height, width)"},
      {"f.npy", Npy(kDict + "(-1, 2), }", ""), "f.npy: has an empty or damaged shape"},
      {"g.npy", Npy(kDict + "(1e30, 2, 2), }", ""), "g.npy: has an empty or damaged shape"},
      {"h.npy",
       Npy(kDict + "(20, 1, 2), }", std::string(70, 'x')),
       "h.npy, page 18: the file is cut short here (198 of 200 bytes); copy it again"},
      {"i.npy",
       Npy(kDict + "(9999999, 16384, 16384), }", "x"),
       "i.npy, page 1: the file is cut short here (129 of 536871040 bytes); copy it again"},
      {"j.npy",
       Npy("{'descr': '<u2', 'fortran_order': True, 'shape': (9, 4, 4), }", "xx"),
       "j.npy: is cut short; copy it again"},
      {"a.txt", "nothing\nto see\n", "a.txt: " + numbers},
      {"b.txt",
       "1.5 2\n3 4\n\n5 6\n\n7 8\n\n",
       "b.txt: has blocks of 2 and of other numbers of rows, not of 1 each; give frames.height_px, "
       "the rows of a frame"},
      {"c.txt", "\xFF\xFE\x31\x00"s, "c.txt: is UTF-16 text; save it as UTF-8"},
      {"a.fits", "SIMPLE  = rubbish", "a.fits: " + fits},
      {"b.fits",
       Fits({"SIMPLE  =                    T",
             "BITPIX  =                   16",
             "NAXIS   =                    0"},
            ""),
       "b.fits: " + no_image},
      {"c.fits",
       Fits({"SIMPLE  =                    T",
             "BITPIX  =                   16",
             "NAXIS   =                    2",
             "NAXIS1  =                99999",
             "NAXIS2  =                    2"},
            ""),
       "c.fits, page 1: a size of 99999 x 2 px is not believable (1 .. 16384 a side); is the file "
       "damaged?"},
      {"d.fits",
       many_planes,
       "d.fits, page 10000000: its images hold more than 10000000 frames; split it"},
      {"a.zip", "PK\3\4"s + std::string(40, '\0'), ""},
      {"b.gz", "\x1F\x8B\x08"s + std::string(9, '\xFF'), ""},
      {"a.tar", Tar("../out.npy", "x"), "a.tar: holds no file of frames; look what is in it"},
      {"b.tar", Tar("/etc/out.npy", "x"), "b.tar: holds no file of frames; look what is in it"},
      {"c.tar", Tar("way.npy", "", '2'), "c.tar: holds no file of frames; look what is in it"},
      {"d.tar",
       Tar("f.npy", "x"),
       "d.tar, f.npy: holds no rows of numbers; a frame is a table of values, one row a line"},
      {"e.tar",
       Tar("a.npy", "x") + Tar("b.png", "x"),
       "e.tar: holds a.npy and b.png, files of two kinds; name one kind by frames.member such as "
       "*.npy"},
      {"f.tar",
       Tar("a.gz", "\x1F\x8B\x08" + std::string(30, 'x')),
       "f.tar, a.gz: is an archive in an archive; unpack the outer one"},
      {"a.tiff", "II*\0\0\0\0\0"s, "a.tiff: holds no page; copy it again"},
      {"b.tiff",
       "II*\0\x08\0"s,
       "b.tiff, page 1: the file is cut short here; copy it again, or drop the last pages"},
      {"c.tiff",
       "II*\0\x08\0\0\0\x00\x00\0\0\0\0"s,
       "c.tiff, page 1: the file is damaged here (no valid directory); copy it again"},
      {"d.tiff",
       "II*\0\x08\0\0\0\x02\0\0\x01\x04\0\x01\0\0\0\xFF\xFF\xFF\x7F"
       "\x01\x01\x04\0\x01\0\0\0\xFF\xFF\xFF\x7F\0\0\0\0"s,
       "d.tiff, page 1: a size of 2147483647 x 2147483647 px is not believable (1 .. 16384 a "
       "side); "
       "is the file damaged?"},
      // 16384 x 16384 pixels of 64 bits in a file of 134 bytes.
      {"e.tiff",
       "II*\0\x08\0\0\0\x0A\0"
       "\x00\x01\x04\0\x01\0\0\0\x00\x40\0\0\x01\x01\x04\0\x01\0\0\0\x00\x40\0\0"
       "\x02\x01\x03\0\x01\0\0\0\x40\0\0\0\x03\x01\x03\0\x01\0\0\0\x01\0\0\0"
       "\x06\x01\x03\0\x01\0\0\0\x01\0\0\0\x11\x01\x04\0\x01\0\0\0\x08\0\0\0"
       "\x15\x01\x03\0\x01\0\0\0\x01\0\0\0\x16\x01\x04\0\x01\0\0\0\x00\x40\0\0"
       "\x17\x01\x04\0\x01\0\0\0\x08\0\0\0\x53\x01\x03\0\x01\0\0\0\x03\0\0\0\0\0\0\0"s,
       "e.tiff, page 1: a picture of 2048 MB does not fit into this file of 0 kB; is the file "
       "damaged?"},
      // Its strip lies 16 MB behind the end of the file.
      {"g.tiff",
       "II*\0\x08\0\0\0\x09\0"
       "\x00\x01\x03\0\x01\0\0\0\x08\0\0\0\x01\x01\x03\0\x01\0\0\0\x06\0\0\0"
       "\x02\x01\x03\0\x01\0\0\0\x10\0\0\0\x03\x01\x03\0\x01\0\0\0\x01\0\0\0"
       "\x06\x01\x03\0\x01\0\0\0\x01\0\0\0\x11\x01\x04\0\x01\0\0\0\x08\0\0\x01"
       "\x15\x01\x03\0\x01\0\0\0\x01\0\0\0\x16\x01\x03\0\x01\0\0\0\x06\0\0\0"
       "\x17\x01\x04\0\x01\0\0\0\x60\0\0\0\0\0\0\0"s,
       "g.tiff, page 1: the pixels of row 1 on are damaged or cut short; copy it again ('Read "
       "error at "
       "scanline 4294967295; got 0 bytes, expected 96')"},
      {"odd.bin",
       std::string("\0\1\2\3", 4),
       "odd.bin: is no TIFF, PNG, JPEG, PGM, PFM, NPY, NPZ, FITS or video file, no table of "
       "numbers and no archive of these; for raw data give frames.width_px and frames.height_px"}};
}

TEST(DamagedFrames, GiveOneClearLine) {
  const TempFolder folder;
  const std::string place = folder.path().string() + "/";
  for (const Damaged& damaged : DamagedFiles()) {
    SCOPED_TRACE(damaged.name);
    const auto file = folder.Write(damaged.name, damaged.bytes);
    ::testing::internal::CaptureStderr();
    ::testing::internal::CaptureStdout();
    std::string message;
    try {
      const auto pages = OpenCounts(file, {});
      cv::Mat counts;
      for (int page = 0; page < pages->count(); ++page) pages->Read(page, counts);
    } catch (const InputError& error) {
      message = error.what();
    }
    EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
    EXPECT_EQ(::testing::internal::GetCapturedStdout(), "");
    ASSERT_TRUE(message.starts_with(place)) << message;
    EXPECT_EQ(message.find('\n'), std::string::npos);
    // What libarchive says of such bytes is its own affair.
    const std::string own = message.substr(place.size());
    if (damaged.message.empty()) {
      EXPECT_NE(own.find("the archive is damaged or cut short; copy it again"), std::string::npos)
          << own;
    } else {
      EXPECT_EQ(own, damaged.message);
    }
  }
}

TEST(DamagedFrames, RefusePipes) {
  const TempFolder folder;
  ASSERT_EQ(mkfifo((folder / "pipe.npy").c_str(), 0600), 0);
  ExpectError<InputError>([&] { (void)OpenCounts(folder / "pipe.npy", {}); },
                          {"pipe.npy: is not an ordinary file (named by frames.source)"});
  ExpectError<InputError>([&] { (void)OpenCounts("/dev/zero", {}); }, {"is not an ordinary file"});
}

TEST(DamagedFrames, TellThatTheFileHasShrunk) {
  const TempFolder folder;
  const auto file =
      folder.Write("f.npy", Npy(kDict + "(4, 8, 8), }", std::string(4 * 8 * 8 * 2, 'x')));
  const auto pages = OpenCounts(file, {});
  std::filesystem::resize_file(file, 300);
  cv::Mat counts;
  ExpectError<InputError>([&] { pages->Read(3, counts); },
                          {"f.npy, page 4: the file has become shorter"});
}

// Names alone are read, and of the contents those of one file.
TEST(LookIntoArchive, TellsFramesWithoutUnpackingThem) {
  const TempFolder folder;
  const std::string frame = "P5 2 1 255\n\x01\x02";
  std::string cut = Tar("readme.txt", "1 2\n") + Tar("film/f2.pgm", frame) +
                    Tar("film/f10.pgm", frame) + Tar("film/f1.pgm", "P5 1 1 255\n\x07") +
                    Tar("film/.hidden.pgm", frame) + Tar("film/f11.pgm", frame);
  cut.resize(cut.size() - 512);  // The last one's contents are gone.
  const ByteSource file = ByteSource::InMemory(cut, "a.tar");
  const ArchiveLook look = LookIntoArchive(file);
  EXPECT_EQ(look.files, 4);
  EXPECT_EQ(look.first, "film/f1.pgm");
  const auto first = FileOfArchive(file, look.first);
  ASSERT_EQ(first->count(), 1);
  EXPECT_EQ(OpenCountFile(first->Open(0), {})->size_px(), cv::Size(1, 1));
  const ByteSource one =
      ByteSource::InMemory(Tar("f.pgm", frame) + std::string(1024, '\0'), "c.tar");
  ExpectError<InputError>([&] { (void)FileOfArchive(one, "film/f3.pgm"); },
                          {"c.tar: holds no file of frames"});
  ExpectError<InputError>(
      [&] { (void)LookIntoArchive(ByteSource::InMemory(Tar("../x.pgm", frame), "b.tar")); },
      {"b.tar: holds no file of frames"});
}

// Every twentieth page of a TIFF is damaged, then every fifth.
std::filesystem::path SpoiltTiff(const TempFolder& folder, int every) {
  std::vector<cv::Mat> pages;
  for (int i = 0; i < 40; ++i) pages.push_back(RampPage(i, {12, 8}, CV_16U));
  WriteTiff(
      folder / "f.tiff", pages, {.compression = COMPRESSION_ADOBE_DEFLATE, .rows_per_strip = 8});
  std::ifstream stream(folder / "f.tiff", std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
  // A strip begins with the two bytes of a zlib stream: RFC 1950.
  int page = 0;
  for (std::size_t at = bytes.find("\x78"); at != std::string::npos;
       at = bytes.find("\x78", at + 1)) {
    const auto next = static_cast<unsigned char>(bytes[at + 1]);
    if ((0x78 * 256 + next) % 31 != 0) continue;
    if (page++ % every == 3) bytes.replace(at + 2, 12, 12, '\x55');
    at += 60;
  }
  EXPECT_EQ(page, 40);
  return folder.Write("f.tiff", bytes);
}

TEST(DamagedFrames, AreLostAloneWhereTheyAreFew) {
  const TempFolder folder;
  SpoiltTiff(folder, 20);
  const Case job = LoadCase(folder.Write("case.ini", "[frames]\nsource = f.tiff\nrate_hz = 8\n"));
  Image kelvin;
  for (int i = 0; i < 40; ++i) {
    job.frames->Read(i, kelvin);
    EXPECT_EQ(std::isnan(kelvin(0, 0)), i % 20 == 3) << i;
    EXPECT_EQ(job.frames->Problem(i).find("page " + std::to_string(i + 1) + ": the pixels") !=
                  std::string::npos,
              i % 20 == 3);
  }
}

// Pictures whose scale nobody knows: in colours, and counts said to be relative.
TEST(DamagedFrames, AreLostAloneAmongPictures) {
  for (const int type : {CV_8UC3, CV_16UC1}) {
    for (const int broken : {0, 7, 19}) {
      SCOPED_TRACE(std::to_string(type) + ", frame " + std::to_string(broken));
      const TempFolder folder;
      std::filesystem::create_directory(folder / "film");
      for (int i = 0; i < 20; ++i) {
        cv::Mat picture(24, 32, type);
        for (int y = 0; y < 24; ++y) {
          for (int x = 0; x < 32; ++x) {
            const int value = 40 + 4 * x + 2 * y + i;
            if (type == CV_16UC1) picture.at<std::uint16_t>(y, x) = static_cast<ushort>(value);
            if (type == CV_8UC3) picture.at<cv::Vec3b>(y, x) = cv::Vec3b::all(uchar(value));
          }
        }
        const auto file = folder / ("film/f" + std::to_string(100 + i) + ".png");
        ASSERT_TRUE(cv::imwrite(file.string(), picture));
        if (i == broken) std::filesystem::resize_file(file, std::filesystem::file_size(file) / 2);
      }
      const Case job = LoadCase(folder.Write(
          "case.ini", "[frames]\nsource = film/*.png\nrate_hz = 8\nunit = relative\n"));
      ASSERT_EQ(job.frames->count(), 20);
      Image values;
      for (int i = 0; i < 20; ++i) {
        job.frames->Read(i, values);
        EXPECT_EQ(std::isnan(values(5, 5)), i == broken) << i;
        EXPECT_EQ(job.frames->Problem(i).empty(), i != broken) << i;
      }
    }
  }
}

TEST(DamagedFrames, AreAnErrorWhereTheyAreMany) {
  const TempFolder folder;
  SpoiltTiff(folder, 5);
  const Case job = LoadCase(folder.Write("case.ini", "[frames]\nsource = f.tiff\nrate_hz = 8\n"));
  ExpectError<InputError>(
      [&] {
        Image kelvin;
        for (int i = 0; i < 40; ++i) job.frames->Read(i, kelvin);
      },
      {"f.tiff, page 4: the pixels", "5 of 40 frames cannot be read"});
}

}  // namespace
}  // namespace ohmglow
