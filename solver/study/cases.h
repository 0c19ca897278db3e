// The cases of a study, each a line of its table. What a line says depends on the order and on the case's
// number alone, whoever works it out and when.
#pragma once

#include <string>

#include "solver/study/order.h"

namespace lostvolts {

long count_cases(const StudyOrder& order);
/// The first line of the table, with its end.
std::string heading(const StudyOrder& order);
/// One line of the table. A case that can't be worked out has its reason in the last column.
std::string line_of_case(const StudyOrder& order, long n);

/// Cases are handed out in blocks of so many, the same for every number of workers.
long cases_in_a_block(const StudyOrder& order);
long count_blocks(const StudyOrder& order);
/// The lines of a block.
std::string lines_of_block(const StudyOrder& order, long block);

} // namespace lostvolts
