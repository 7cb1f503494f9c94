"""Addresses of the app `jobs`."""

from django.urls import URLPattern, path

from jetwright.web.jobs import compare, plan, tasks, views

app_name = "jobs"
TASK = "<uuid:job_id>/tasks/<uuid:task_id>/"
urlpatterns: list[URLPattern] = [
    path("", views.jobs, name="list"),
    path("new/", views.new, name="new"),
    path("demo/", views.demo, name="demo"),
    path("file/", views.bring, name="bring"),
    path("<uuid:job_id>/", views.page, name="page"),
    path("<uuid:job_id>/change/", views.change, name="change"),
    path("<uuid:job_id>/copy/", views.copy, name="copy"),
    path("<uuid:job_id>/retire/", views.retire, name="retire"),
    path("<uuid:job_id>/back/", views.back, name="back"),
    path("<uuid:job_id>/file/", views.file, name="file"),
    path("<uuid:job_id>/tasks/new/", tasks.new, name="task_new"),
    path(TASK, tasks.page, name="task"),
    path(TASK + "change/", tasks.change, name="task_change"),
    path(TASK + "copy/", tasks.copy, name="task_copy"),
    path(TASK + "retire/", tasks.retire, name="task_retire"),
    path(TASK + "back/", tasks.back, name="task_back"),
    path(TASK + "move/", tasks.move, name="task_move"),
    path(TASK + "rig/", tasks.rig_part, name="rig"),
    path(TASK + "rig/act/", tasks.rig_act, name="rig_act"),
    path(TASK + "plan/", plan.page, name="plan"),
    path(TASK + "plan/cures/", plan.cures, name="cures"),
    path(TASK + "plan/what-if/", plan.what_if, name="what_if"),
    path(TASK + "plan/keep/", plan.keep, name="keep"),
    path(TASK + "tips/", plan.tips, name="tips"),
    path(TASK + "change-card/", plan.change_card, name="change_card"),
    path("<uuid:job_id>/compare/", compare.page, name="compare"),
]
