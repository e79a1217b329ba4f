// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Files of a case other than one file of frames (damaged_frames_test) and logs (bad_log_test):
// series, photos, tables, the case file; each with its whole message. With those two, 80 and more.
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

#include "case_folder.h"
#include "input/jpeg_codec.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/case.h"

namespace ohmglow {
namespace {

using testing::CaseFolder;
using testing::RampPage;
using testing::TempFolder;
using std::string_literals::operator""s;

// What loading a case and reading all its frames says, without the folder's name.
std::string MessageOf(const std::filesystem::path& file) {
  const std::string place = file.parent_path().string() + "/";
  std::string message = "read";
  try {
    const Case job = LoadCase(file);
    Image kelvin;
    for (int i = 0; i < job.frames->count(); ++i) job.frames->Read(i, kelvin);
  } catch (const InputError& error) {
    message = error.what();
  }
  for (std::size_t at = message.find(place); at != std::string::npos; at = message.find(place)) {
    message.erase(at, place.size());
  }
  return message;
}

// One file of a correct case in another state.
struct Damaged {
  const char* name;
  std::string bytes;
  std::string message;
};

std::vector<Damaged> DamagedFiles() {
  const cv::Mat picture(40, 60, CV_8UC3, cv::Scalar(9, 90, 200));
  const std::string png = EncodePng(picture, 6);
  const std::string jpeg = EncodeJpeg(picture, 80);
  std::string wide = png;
  wide.replace(16, 4, "\x00\x01\x00\x00"s);
  // A strip that lies 16 MB behind the end of the file.
  const std::string beyond =
      "II*\0\x08\0\0\0\x09\0"
      "\x00\x01\x03\0\x01\0\0\0\x08\0\0\0\x01\x01\x03\0\x01\0\0\0\x06\0\0\0"
      "\x02\x01\x03\0\x01\0\0\0\x10\0\0\0\x03\x01\x03\0\x01\0\0\0\x01\0\0\0"
      "\x06\x01\x03\0\x01\0\0\0\x01\0\0\0\x11\x01\x04\0\x01\0\0\0\x08\0\0\x01"
      "\x15\x01\x03\0\x01\0\0\0\x01\0\0\0\x16\x01\x03\0\x01\0\0\0\x06\0\0\0"
      "\x17\x01\x04\0\x01\0\0\0\x60\0\0\0\0\0\0\0"s;
  return {
      {"photo.png", "", "photo.png: is empty; copy it again"},
      {"photo.png",
       png.substr(0, png.size() / 2),
       "photo.png: the picture is cut short or damaged; copy it again"},
      {"photo.png",
       wide,
       "photo.png: a size of 65536 x 40 px is not believable (1 .. 16384 a side); is the file "
       "damaged?"},
      {"photo.png",
       jpeg.substr(0, jpeg.size() / 2),
       "photo.png: the picture is cut short or damaged; copy it again"},
      {"photo.png",
       "\xFF\xD8\xFF\xE0"s,
       "photo.png: the picture is cut short or damaged; copy it again"},
      {"photo.png",
       "II*\0\x08\0\0\0\0\0"s,
       "photo.png: the picture is cut short or damaged; copy it again"},
      {"photo.png", beyond, "photo.png: the picture is cut short or damaged; copy it again"},
      {"photo.png",
       "GIF89a",
       "photo.png: is no picture that can be read (named by board.photo); save it as PNG or JPEG"},
      {"frames.csv",
       "index,time_s\n0,1\n1,2\n",
       "frames.csv: has 2 rows of times but there are 4 frames; give one row a frame"},
      {"frames.csv",
       "index,time_s\n0,1\n1,2\n2,2\n3,4\n",
       "frames.csv, row 4, column time_s: 2 repeats 2 of the row before; times must rise from row "
       "to row"},
      {"frames.csv",
       "index,time_s\n0,1\n1,2\n3,3\n4,4\n",
       "frames.csv, row 4, column index: '3' where 2 is due; give one row a frame, in order"},
      {"frames.csv",
       "index,time_s\n0,1\n1,\"2\n2,3\n3,4\n",
       "frames.csv, row 3: a double quote is left open; close it"},
      {"frames.csv",
       "\x89PNG\0\0\0\1"s,
       "frames.csv: is not a text file (named by frames.times); what is wanted here is plain text"},
      {"points.csv",
       "frame_x,frame_y,photo_x,photo_y,board_x_mm\n",
       "points.csv, row 1: column board_y_mm is missing; give both board columns or none"},
      {"points.csv",
       "frame_x,frame_y,photo_x,photo_y\n1,2,3\n",
       "points.csv, row 2, column photo_y: is empty; give a number"},
      {"points.csv",
       "frame_x,frame_y,photo_x,photo_y\n1,2,3,4,5\n",
       "points.csv, row 2: has 5 cells but the header 4; write decimals with a point and quote "
       "texts that hold a comma"},
      {"parts.csv",
       "ref,x_mm,y_mm,width_mm,height_mm,side\n,1,2,3,4,top\n",
       "parts.csv, row 2, column ref: is empty; give the part's designator"},
      {"parts.csv",
       "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,-3,4,top\n",
       "parts.csv, row 2, column width_mm: -3 is negative; sizes must be >= 0"},
      {"parts.csv",
       "ref,x_mm,y_mm,width_mm,height_mm,side\nC1,1,2,3,4,front\n",
       "parts.csv, row 2, column side: 'front' must be top or bottom"},
      {"contacts.csv",
       "frame_x,name\n1,plus\n",
       "contacts.csv, row 1: column frame_y is missing; the header has frame_x, name"},
      {"contacts.csv",
       "frame_x,\"na\nme\"\n1,plus\n",
       "contacts.csv, row 1: column frame_y is missing; the header has frame_x, na me"},
      {"contacts.csv",
       "frame_x,frame_y,name\n1,two,plus\n",
       "contacts.csv, row 2, column frame_y: 'two' is not a finite number; write it like -12.5"},
      {"contacts.csv", "", "contacts.csv: is empty; it needs a header row and data rows"},
  };
}

TEST(DamagedFiles, GiveOneClearLine) {
  for (const Damaged& damaged : DamagedFiles()) {
    SCOPED_TRACE(damaged.name);
    const CaseFolder folder;
    folder.folder().Write(damaged.name, damaged.bytes);
    ::testing::internal::CaptureStderr();
    EXPECT_EQ(MessageOf(folder.Ini()), damaged.message);
    EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
  }
}

struct BadLine {
  const char* text;
  const char* message;
};

TEST(DamagedCaseFiles, NameTheLine) {
  for (const BadLine& bad : std::initializer_list<BadLine>{
           {"[frames\nsource = f.tiff\n",
            "case.ini, line 1: '[frames' is not a section; write [name]"},
           {"source = f.tiff\n",
            "case.ini, line 1: unknown key 'source'; 'source' stands as frames.source"},
           {"[frames]\nsource\n",
            "case.ini, line 2: 'source' is neither [section] nor key = value; correct or remove "
            "it"},
           {"[frames]\nsource = f.tiff\nsource = g.tiff\n",
            "case.ini, line 3: frames.source is given twice, first in line 2; keep one"},
           {"[frame]\nsource = f.tiff\n",
            "case.ini, line 1: unknown section [frame]; the closest known one is [frames]"},
           {"[frames]\nsource = \"f.tiff\n",
            "\"f.tiff: no such file (named by frames.source); check the name and the folder"}}) {
    const TempFolder folder;
    EXPECT_EQ(MessageOf(folder.Write("case.ini", bad.text)), bad.message);
  }
}

// Twenty files of a frame each; `spoil` changes one.
class Series {
 public:
  explicit Series(const std::string& bytes = {}, std::vector<int> spoilt = {}) {
    std::filesystem::create_directory(folder_ / "film");
    for (int i = 0; i < 20; ++i) {
      cv::Mat page = RampPage(i, {30, 20}, CV_16U);
      folder_.Write("film/" + Name(i), EncodePng(page));
    }
    for (const int i : spoilt) folder_.Write("film/" + Name(i), bytes);
  }
  static std::string Name(int i) { return "f" + std::to_string(100 + i) + ".png"; }
  [[nodiscard]] std::filesystem::path Ini() const {
    return folder_.Write("case.ini", "[frames]\nsource = film\nrate_hz = 8\nscale = 0.01\n");
  }

 private:
  TempFolder folder_;
};

TEST(DamagedSeries, NameTheFile) {
  const std::string png = EncodePng(RampPage(0, {30, 20}, CV_16U));
  const std::string half = png.substr(0, png.size() / 2);
  const std::string other = EncodePng(RampPage(0, {20, 30}, CV_16U));
  struct Bad {
    std::string bytes;
    std::vector<int> spoilt;
    std::string message;
  };
  const std::vector<Bad> all{
      {half, {4, 7}, "read"},
      {half,
       {4, 7, 11},
       "film/f104.png: the picture is cut short or damaged; copy it again (3 of 20 frames cannot "
       "be read, more than the tenth that may be lost)"},
      {"", {4, 7, 11}, "film/f104.png: is empty; copy it again"},
      {other,
       {4, 7, 11},
       "film/f104.png: is 20 x 30 px and the other files 30 x 20 px, or of another sample type; "
       "all frames must be alike"},
      {"P5 2 2 255\n\1\2\3\4",
       {4, 7, 11},
       "film/f104.png: is 2 x 2 px and the other files 30 x 20 px, or of another sample type; all "
       "frames must be alike"},
  };
  for (const Bad& bad : all) {
    const Series series(bad.bytes, bad.spoilt);
    EXPECT_EQ(MessageOf(series.Ini()), bad.message);
  }
}

// Where few are lost each is named by its file.
TEST(DamagedSeries, TellWhichFileIsLost) {
  const std::string png = EncodePng(RampPage(0, {30, 20}, CV_16U));
  const Series series(png.substr(0, png.size() / 2), {7});
  const Case job = LoadCase(series.Ini());
  Image kelvin;
  job.frames->Read(7, kelvin);
  EXPECT_EQ(job.frames->Problem(7).substr(job.frames->Problem(7).find("film/")),
            "film/f107.png: the picture is cut short or damaged; copy it again");
}

}  // namespace
}  // namespace ohmglow
